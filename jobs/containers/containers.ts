import type { Container } from './container.js';
import { dpx } from './dpx.js';
import { exr } from './exr.js';
import { mkv } from './mkv.js';
import { mov } from './mov.js';
import { mp4 } from './mp4.js';
import { tiff } from './tiff.js';

/** Every container files are made in. To add one: a file of its own and a line here. */
export const CONTAINERS = [mov, mp4, mkv, dpx, exr, tiff] as const satisfies readonly Container[];

export type ContainerName = (typeof CONTAINERS)[number]['name'];

/** The container of this name in targets. */
export function container(name: ContainerName): Container {
  const all: readonly Container[] = CONTAINERS;
  const found = all.find((each) => each.name === name);
  // The type allows no other name.
  if (found === undefined) throw new TypeError('a container that is not listed');
  return found;
}
