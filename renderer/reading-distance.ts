/**
 * Text size from viewing distance. A character subtends a visual angle at the eye; its height is
 * h = 2·D·tan(α/2). 16 minutes of arc are the minimum for reading, 20 to 22 are preferred, more than 45
 * slows reading down (ISO 9241-303, NUREG-0700).
 */

/** Smallest, preferred and largest visual angle of a capital letter, in minutes of arc. */
export const ARC_MINUTES = { minimum: 16, preferred: 22, largest: 45 } as const;

/** CSS pixels to a millimetre where the user has not measured the screen: 96 to the inch. */
export const USUAL_PX_PER_MM = 96 / 25.4;

/** Capital height as a share of the font size; 0.7 is typical of sans-serif faces. */
export const CAP_HEIGHT = 0.7;

/** Height in millimetres of a character that subtends `arcMinutes` at `distance_m` metres. */
export function characterHeight_mm(distance_m: number, arcMinutes: number): number {
  const angle = (arcMinutes / 60) * (Math.PI / 180);
  return 2 * distance_m * 1000 * Math.tan(angle / 2);
}

/** The visual angle in minutes of arc of a character `height_mm` high at `distance_m`. */
export function visualAngle_arcmin(height_mm: number, distance_m: number): number {
  return (2 * Math.atan(height_mm / (2 * distance_m * 1000)) * 180 * 60) / Math.PI;
}

/** Font size in CSS pixels whose capitals subtend `arcMinutes` at `distance_m` on this screen. */
export function fontSize_px(
  distance_m: number,
  arcMinutes: number,
  pxPerMm: number = USUAL_PX_PER_MM,
): number {
  return (characterHeight_mm(distance_m, arcMinutes) * pxPerMm) / CAP_HEIGHT;
}
