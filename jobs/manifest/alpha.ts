/** Formats with alpha whose names follow no rule. A palette may have alpha too, but usually has not. */
const IRREGULAR: ReadonlySet<string> = new Set([
  ...['argb', 'rgba', 'abgr', 'bgra', 'rgba64', 'bgra64', 'rgbaf16', 'rgbaf32', 'rgba128'],
  ...['ya8', 'ya16', 'yaf16', 'yaf32', 'vuya', 'ayuv', 'uyva', 'ayuv64'],
]);

/** Whether an ffmpeg pixel format has alpha, from its name. */
export function hasAlpha(pixelFormat: string): boolean {
  return /^(yuva|gbrap)/.test(pixelFormat) || IRREGULAR.has(pixelFormat.replace(/(le|be)$/, ''));
}
