/**
 * Names of the tags in which static HDR metadata is kept as text where a codec has no place for it. ffmpeg
 * 5.1 writes it into Matroska only where the original's container states it; as text it can be restored. No
 * display obeys it.
 */
export const MASTERING_TAG = 'SMPTE_ST_2086';
export const LIGHT_LEVEL_TAG = 'CTA_861_3';
