import { z } from 'zod';
import { colour } from '../manifest/colour.js';
import { audioFacts, type ClipFacts, clipFacts, videoFacts } from '../manifest/facts.js';
import { requirementSet } from '../requirements/requirement.js';
import { loss, type OutputRecipe, outputRecipe } from './plan.js';

const seconds = z.number().nonnegative().nullable();
const { container } = clipFacts.shape;

/** What the facts of clips of one kind have in common, and their colour. */
export const clipKind = z.object({
  facts: clipFacts.omit({ bytes: true, modified: true }).extend({
    container: container.omit({ durationSeconds: true, startTimecode: true, reel: true, tags: true }),
    video: videoFacts.omit({ durationSeconds: true, frames: true, steady: true }).nullable(),
    audio: z.array(audioFacts.omit({ durationSeconds: true })),
  }),
  colour: colour.nullable(),
});
export type ClipKind = z.infer<typeof clipKind>;

/** What of its facts differs from clip to clip. */
export const ownFacts = clipFacts.pick({ bytes: true, modified: true }).extend({
  ...container.pick({ durationSeconds: true, startTimecode: true, reel: true, tags: true }).shape,
  /** Of the picture; null where there is none. */
  video: videoFacts.pick({ durationSeconds: true, frames: true, steady: true }).nullable(),
  /** Length of each sound stream, in their order. */
  audioSeconds: z.array(seconds),
});
export type OwnFacts = z.infer<typeof ownFacts>;

/** A recipe without what is written or drawn for one clip alone. */
export const recipeKind = outputRecipe.omit({ timecode: true, reel: true, burnIn: true });
export type RecipeKind = z.infer<typeof recipeKind>;

/** What a recipe writes or draws for one clip. */
export const ownRecipe = outputRecipe.pick({ timecode: true, reel: true, burnIn: true });
export type OwnRecipe = z.infer<typeof ownRecipe>;

/** What many clips of a plan have in common. Its jobs name each by its place in its list, from 0. */
export const planKinds = z.object({
  clips: z.array(clipKind),
  recipes: z.array(recipeKind),
  require: z.array(requirementSet),
  losses: z.array(z.array(loss)),
});
export type PlanKinds = z.infer<typeof planKinds>;

export function splitFacts(facts: ClipFacts): { kind: ClipKind['facts']; own: OwnFacts } {
  const { bytes, modified, container, video, audio, ...rest } = facts;
  const { durationSeconds, startTimecode, reel, tags, ...kept } = container;
  return {
    kind: { ...rest, container: kept, ...pictureKind(video), audio: audio.map(soundKind) },
    own: {
      ...{ bytes, modified, durationSeconds, startTimecode, reel, tags },
      video: video === null ? null : ownPicture(video),
      audioSeconds: audio.map((stream) => stream.durationSeconds),
    },
  };
}

function pictureKind(video: ClipFacts['video']): Pick<ClipKind['facts'], 'video'> {
  if (video === null) return { video };
  const { durationSeconds, frames, steady, ...kind } = video;
  return { video: kind };
}

function ownPicture({
  durationSeconds,
  frames,
  steady,
}: NonNullable<ClipFacts['video']>): NonNullable<OwnFacts['video']> {
  return { durationSeconds, frames, ...(steady === undefined ? {} : { steady }) };
}

function soundKind(stream: ClipFacts['audio'][number]): ClipKind['facts']['audio'][number] {
  const { durationSeconds, ...kind } = stream;
  return kind;
}

/** The facts again; null where the two do not belong together. */
export function joinFacts(kind: ClipKind['facts'], own: OwnFacts): ClipFacts | null {
  const { bytes, modified, video, audioSeconds, ...container } = own;
  if ((kind.video === null) !== (video === null) || kind.audio.length !== audioSeconds.length) return null;
  return {
    ...kind,
    ...{ bytes, modified, container: { ...kind.container, ...container } },
    video: kind.video === null || video === null ? null : { ...kind.video, ...video },
    audio: kind.audio.map((stream, index) => ({ ...stream, durationSeconds: audioSeconds[index] ?? null })),
  };
}

export function splitRecipe(recipe: OutputRecipe): { kind: RecipeKind; own: OwnRecipe } {
  const { timecode, reel, burnIn, ...kind } = recipe;
  return { kind, own: { timecode, reel, burnIn } };
}
