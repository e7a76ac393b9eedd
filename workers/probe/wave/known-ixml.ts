import type { Slate } from '../../../jobs/manifest/facts.js';
import { type Ixml, readIxml } from './read-ixml.js';

/** What iXML says; null, and a note that tells why, where it cannot be read: nothing of it is believed. */
export function knownIxml(bytes: Uint8Array, notes: string[]): Ixml | null {
  try {
    return readIxml(bytes);
  } catch (error) {
    notes.push(`its iXML cannot be read: ${error instanceof Error ? error.message : String(error)}`);
    return null;
  }
}

/** Scene, take and note; undefined where it has none of them. */
export function slateOfIxml({ scene, take, note }: Ixml): Slate | undefined {
  return scene === null && take === null && note === null ? undefined : { scene, take, note };
}

/** Key of the metadata of movies that holds iXML (iXML specification, its page on movie files). */
export const IXML_KEY = 'info.ixml.metadata';
/** Characters; a take is told in a thousandth of it. */
const MOST_TEXT = 1 << 20;

/** What a movie says of its take. Pure. */
export interface MovieIxml {
  readonly reel: string | null;
  readonly slate: Slate | undefined;
  readonly notes: readonly string[];
}

/**
 * iXML among the metadata of MOV and MP4, under the key that its specification names. The older place, a box
 * `iXML` in the user data, is deprecated there, and ffprobe does not tell it. Pure.
 *
 * @param tags of the file, as ffprobe tells them
 */
export function movieIxml(tags: Readonly<Record<string, string>>): MovieIxml {
  const text = tags[IXML_KEY];
  const notes: string[] = [];
  if (text === undefined) return { reel: null, slate: undefined, notes };
  if (text.length > MOST_TEXT) {
    notes.push('its iXML is longer than 1 MiB: it is not read');
    return { reel: null, slate: undefined, notes };
  }
  const ixml = knownIxml(new TextEncoder().encode(text), notes);
  return { reel: ixml?.tape ?? null, slate: ixml === null ? undefined : slateOfIxml(ixml), notes };
}
