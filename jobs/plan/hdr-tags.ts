/**
 * Names of the tags that keep static HDR metadata as text where a codec cannot carry it. ffmpeg 5.1 writes it
 * into Matroska only where the container of the original declares it; from the text it can be restored.
 * Displays ignore the text.
 */
export const MASTERING_TAG = 'SMPTE_ST_2086';
export const LIGHT_LEVEL_TAG = 'CTA_861_3';
