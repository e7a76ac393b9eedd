import { type LevelOnScale, levelOnScale, SCALES, type ScaleName } from './scale.js';

/**
 * What a crew meters. Skin is the rule of thumb "skin near 50 % in S-Log3": reflectance 0.38, light skin lit
 * like the card (common practice, no source; skin differs between people by more than a stop: BT.2408-8 Table
 * 2).
 */
export const CREW_SUBJECTS = [
  { name: '18 % grey', reflectance: 0.18 },
  { name: 'skin', reflectance: 0.38 },
  { name: '90 % white', reflectance: 0.9 },
] as const;

export interface CrewCardRow {
  readonly scale: ScaleName;
  /** One for each of CREW_SUBJECTS. */
  readonly levels: readonly LevelOnScale[];
}

export function crewCard(): CrewCardRow[] {
  return SCALES.map(({ name: scale }) => ({
    scale,
    levels: CREW_SUBJECTS.map(({ reflectance }) => levelOnScale(scale, reflectance)),
  }));
}
