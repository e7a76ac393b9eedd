import type { Slate } from './facts.js';
import type { ManifestClip } from './manifest.js';

/** Scene and take of a clip: as the manifest says, or else the file; undefined where neither does. */
export function slateOf({
  scene,
  take,
  facts,
}: Pick<ManifestClip, 'scene' | 'take' | 'facts'>): Slate | undefined {
  const declared = facts?.container.slate;
  const slate = {
    scene: scene ?? declared?.scene ?? null,
    take: take ?? declared?.take ?? null,
    note: declared?.note ?? null,
  };
  return Object.values(slate).every((value) => value === null) ? undefined : slate;
}

/** `scene 12A, take 3`; empty where neither is known. */
export function slateText(slate: Pick<Slate, 'scene' | 'take'> | null | undefined): string {
  const words = [
    ...(slate?.scene == null ? [] : [`scene ${slate.scene}`]),
    ...(slate?.take == null ? [] : [`take ${slate.take}`]),
  ];
  return words.join(', ');
}
