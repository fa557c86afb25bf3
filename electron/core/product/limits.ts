/**
 * Limits of a product file. Everything an author can make grow has a bound with a name; reaching one is
 * a finding with a place, never a hang. The figures leave at least a factor of ten over the demo units.
 */
export const LIMITS = {
  /** Characters (UTF-16 units) of the whole file. */
  fileCharacters: 1_000_000,
  /** Nesting of lists and mappings. The format itself needs 6. */
  nestingDepth: 24,
  /** Uses of an anchor (`*name`). */
  aliases: 100,
  /** Nodes after the aliases have been expanded. */
  nodes: 200_000,
  /** Columns of indentation before a line's first word. */
  indentation: 240,
  parts: 10_000,
  /** Steps of one part, of the preparation or of the final checks. */
  stepsPerList: 200,
  /** Tools, consumables, hazards, fasteners, items, variants: each list. */
  entriesPerList: 2_000,
  /** References in one list (`needs`, `hazards`, `uses` …). */
  references: 500,
  idCharacters: 48,
  nameCharacters: 80,
  textCharacters: 400,
  pathCharacters: 120,
  marks: 12,
  answers: 8,
  passes: 6,
  fastenersPerStep: 200,
  /** Findings kept; more are counted in one closing finding. */
  findings: 500,
  /** Characters of a source line kept for showing. */
  sourceLineCharacters: 200,
} as const;
