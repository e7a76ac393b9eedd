import { z } from 'zod';

/** How subtitles are written to Matroska: copied, or converted from MOV text. */
export const subtitleCodec = z.enum(['copy', 'subrip']);
export type SubtitleCodec = z.infer<typeof subtitleCodec>;

/** What an output keeps of a clip besides picture, sound, timecode and reel. */
export const carryRecipe = z.object({
  /** Source streams of subtitles, in order, and how each is written. */
  subtitles: z.array(z.object({ stream: z.number().int().nonnegative(), codec: subtitleCodec })).max(1_000),
  /** Chapters with their titles. */
  chapters: z.boolean(),
  /** Descriptive metadata of the file and its tracks. */
  tags: z.boolean(),
});
export type CarryRecipe = z.infer<typeof carryRecipe>;
