/**
 * Profiles and levels by their names, as ffmpeg spells profiles, from the numbers that parameter sets carry.
 * Sources: ITU-T H.264, annex A; ITU-T H.265, annex A; ITU-T H.262, 8.1 and 8.2 (from memory).
 */
const AVC_PROFILES: Readonly<Record<number, string>> = {
  44: 'CAVLC 4:4:4',
  66: 'Baseline',
  77: 'Main',
  88: 'Extended',
  100: 'High',
  110: 'High 10',
  122: 'High 4:2:2',
  244: 'High 4:4:4 Predictive',
};
const AVC_INTRA = new Set([110, 122, 244]);
const HEVC_PROFILES: Readonly<Record<number, string>> = {
  1: 'Main',
  2: 'Main 10',
  3: 'Main Still Picture',
  4: 'Rext',
};
const MPEG2_LEVELS: Readonly<Record<number, string>> = { 4: 'High', 6: 'High 1440', 8: 'Main', 10: 'Low' };

/** `constraints`: the byte of constraint_set flags, set 0 in its highest bit. */
export function avcProfile(profile: number, constraints: number): string | null {
  if (profile === 66 && (constraints & 0x40) !== 0) return 'Constrained Baseline';
  const name = AVC_PROFILES[profile] ?? null;
  const isIntra = name !== null && AVC_INTRA.has(profile) && (constraints & 0x10) !== 0;
  return isIntra ? `${name} Intra` : name;
}

/** Ten times the level; 9 is 1b. */
export function avcLevel(level: number): string | null {
  if (level === 9) return '1b';
  return level >= 10 && level <= 99 ? tenths(level) : null;
}

export function hevcProfile(profile: number): string | null {
  return HEVC_PROFILES[profile] ?? null;
}

/** Thirty times the level. */
export function hevcLevel(level: number): string | null {
  return level >= 30 && level % 3 === 0 && level <= 255 ? tenths(level / 3) : null;
}

/** The level from the number of ffprobe, by codec; null for codecs without levels. */
export function levelOf(codec: string, level: number | undefined): string | null {
  if (level === undefined || level <= 0) return null;
  if (codec === 'h264') return avcLevel(level);
  if (codec === 'hevc') return hevcLevel(level);
  if (codec === 'mpeg2video') return MPEG2_LEVELS[level] ?? null;
  return null;
}

function tenths(value: number): string {
  return value % 10 === 0 ? String(value / 10) : (value / 10).toFixed(1);
}
