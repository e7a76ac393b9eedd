import { z } from 'zod';

/** What the ffmpeg of this machine can do, as ffmpeg itself reports. */
export const capabilities = z.object({
  ffmpegVersion: z.string(),
  ffprobeVersion: z.string(),
  /** Encoder name -> the pixel formats it accepts. */
  encoders: z.record(z.string(), z.array(z.string())),
  filters: z.array(z.string()),
  muxers: z.array(z.string()),
  /** A font file drawtext can use, or null. */
  fontFile: z.string().nullable(),
  cores: z.number().int().positive(),
});
export type Capabilities = z.infer<typeof capabilities>;
