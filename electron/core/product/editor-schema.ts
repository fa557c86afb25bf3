/**
 * The JSON Schema that gives completion and first findings in an editor, made from the same zod objects
 * as the reader's schema. It is kept as `procedures/product.schema.json`; a test fails when that file is
 * stale. Checks across entries (unknown ids, cycles, tools that do not fit) are the reader's alone.
 */
import { z } from 'zod';
import { cautionSchema, type FileAnyStep, fileSchema, mirrorSchema, stepSchemas } from './schema.ts';

const editorStep: z.ZodType<FileAnyStep> = z.union([...stepSchemas, mirrorSchema, cautionSchema]);

/** The JSON Schema (draft 2020-12) as text with a final line break; always the same for one version. */
export function productJsonSchema(): string {
  const schema = z.toJSONSchema(fileSchema(editorStep), {
    io: 'input',
    unrepresentable: 'any',
    reused: 'ref',
  });
  return `${JSON.stringify({ title: 'Stepcaller product file', ...schema }, null, 1)}\n`;
}
