import { z } from 'zod';

/** Subtitles as Matroska holds them; those of MOV are rewritten. */
export const subtitleCodec = z.enum(['copy', 'subrip']);
export type SubtitleCodec = z.infer<typeof subtitleCodec>;

/** What an output keeps of a clip beside picture, sound, timecode and reel. */
export const carryRecipe = z.object({
  /** Source streams of subtitles, in order, and how each is written. */
  subtitles: z.array(z.object({ stream: z.number().int().nonnegative(), codec: subtitleCodec })).max(1_000),
  /** Chapters with their titles. */
  chapters: z.boolean(),
  /** Descriptive metadata of the file and its tracks. */
  tags: z.boolean(),
});
export type CarryRecipe = z.infer<typeof carryRecipe>;
