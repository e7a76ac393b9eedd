import { SaxesParser } from 'saxes';

/** What an iXML chunk says of a take; null where it says nothing. Text as it stands there. */
export interface Ixml {
  /** The roll of the sound, which tells one day's timecode from another's. */
  readonly tape: string | null;
  readonly scene: string | null;
  readonly take: string | null;
  readonly note: string | null;
  /** Frames a second of its timecode: `24000/1001`. */
  readonly timecodeRate: string | null;
  /** `DF` or `NDF`. */
  readonly timecodeFlag: string | null;
  /** Samples since midnight, and how many of them are a second. */
  readonly timestampHigh: string | null;
  readonly timestampLow: string | null;
  readonly timestampSampleRate: string | null;
}

/** Elements by their place below `BWFXML` (iXML specification 3.01, names from memory). */
const PLACES: { readonly [Name in keyof Ixml]: string } = {
  tape: 'TAPE',
  scene: 'SCENE',
  take: 'TAKE',
  note: 'NOTE',
  timecodeRate: 'SPEED/TIMECODE_RATE',
  timecodeFlag: 'SPEED/TIMECODE_FLAG',
  timestampHigh: 'SPEED/TIMESTAMP_SAMPLES_SINCE_MIDNIGHT_HI',
  timestampLow: 'SPEED/TIMESTAMP_SAMPLES_SINCE_MIDNIGHT_LO',
  timestampSampleRate: 'SPEED/TIMESTAMP_SAMPLE_RATE',
};
const PLACES_AND_PARENTS: ReadonlySet<string> = new Set(['SPEED', ...Object.values(PLACES)]);
const LONGEST_NAME = 50;
const ROOT = 'BWFXML';
const MOST_DEPTH = 32;
/** Of one element; longer text is cut. */
const MOST_TEXT = 1_000;

/**
 * Reads an iXML chunk, whatever its writer made of it: elements that are missing, unknown or there twice do
 * no harm (the first counts), and a document type is refused, so that there are no entities but the five of
 * XML.
 *
 * @throws Error with the reason, for what is no XML or begins with another element
 */
export function readIxml(chunk: Uint8Array): Ixml {
  const parser = new SaxesParser();
  /** Places of the elements that are open; null stands for one that is not asked for. */
  const open: (string | null)[] = [];
  const texts = new Map<string, string>();
  parser.on('error', (error) => {
    throw new Error(error.message.replace(/^\d+:\d+: /, ''));
  });
  parser.on('doctype', () => {
    throw new Error('it has a document type');
  });
  parser.on('opentag', ({ name }) => {
    if (open.length === 0 && name !== ROOT) throw new Error(`it begins with <${name}>, not with <${ROOT}>`);
    if (open.length >= MOST_DEPTH) throw new Error(`it is more than ${MOST_DEPTH} elements deep`);
    const place = placeBelow(open, name);
    // Of several the first one counts.
    const isFirst = place !== null && !texts.has(place);
    open.push(isFirst ? place : null);
    if (isFirst) texts.set(place, '');
  });
  const take = (text: string): void => {
    const place = open.at(-1) ?? null;
    if (place !== null) texts.set(place, ((texts.get(place) ?? '') + text).slice(0, MOST_TEXT));
  };
  parser.on('text', take);
  parser.on('cdata', take);
  parser.on('closetag', () => {
    open.pop();
  });
  parser.write(textOf(chunk)).close();
  const value = (name: keyof Ixml): string | null => texts.get(PLACES[name])?.trim() || null;
  return {
    ...{ tape: value('tape'), scene: value('scene'), take: value('take'), note: value('note') },
    ...{ timecodeRate: value('timecodeRate'), timecodeFlag: value('timecodeFlag') },
    ...{ timestampHigh: value('timestampHigh'), timestampLow: value('timestampLow') },
    timestampSampleRate: value('timestampSampleRate'),
  };
}

/** The place of an element that is wanted, or holds one that is; of others null, however long their names. */
function placeBelow(open: readonly (string | null)[], name: string): string | null {
  if (open.length === 0) return ROOT;
  const parent = open.at(-1) ?? null;
  if (parent === null || open.length > 2 || name.length > LONGEST_NAME) return null;
  const place = open.length === 1 ? name : `${parent}/${name}`;
  return PLACES_AND_PARENTS.has(place) ? place : null;
}

/** UTF-8, or UTF-16 with a mark of its order; chunks are padded with zeros. */
function textOf(chunk: Uint8Array): string {
  const [first, second] = chunk;
  const encoding =
    first === 0xff && second === 0xfe ? 'utf-16le' : first === 0xfe && second === 0xff ? 'utf-16be' : 'utf-8';
  return new TextDecoder(encoding).decode(chunk).replace(/\0+$/, '');
}
