import { describe, expect, it } from 'vitest';
import { z } from 'zod';
import { field } from '../../../jobs/documents/field.js';
import { jsonSchema } from '../../../jobs/documents/json-schemas.js';
import { WIDEST_FLAT } from '../../../workers/measure/picture/temporal/find-flat.js';
import { LEAST_FREEZE_FRAMES } from '../../../workers/measure/picture/temporal/find-freezes.js';
import { SHORT_SHOT_BELOW } from '../../../workers/measure/picture/temporal/find-shots.js';

type Json = Readonly<Record<string, unknown>>;

interface Property {
  /** Where in the schema, such as `then.properties.make.anyOf.0.properties.look`. */
  readonly at: string;
  readonly name: string;
  readonly schema: Json;
}

function isMap(value: unknown): value is Json {
  return typeof value === 'object' && value !== null;
}

/** Every property at every depth, whatever keywords lead there. */
function propertiesOf(schema: unknown, at: readonly string[] = []): Property[] {
  if (!isMap(schema)) return [];
  return Object.entries(schema).flatMap(([keyword, value]) => {
    const here = [...at, keyword];
    if (keyword !== 'properties' || !isMap(value) || Array.isArray(value)) return propertiesOf(value, here);
    return Object.entries(value).flatMap(([name, property]) => {
      const place = [...here, name];
      const own = { at: place.join('.'), name, schema: isMap(property) ? property : {} };
      return [own, ...propertiesOf(property, place)];
    });
  });
}

/** What is wrong with the words of a property, as an editor would show them. */
function faults({ at, name, schema }: Property): string[] {
  const { description: words } = schema;
  if (typeof words !== 'string' || words.trim() === '') return [`${at}: no words`];
  const found: string[] = [];
  const plain = (text: string): string => text.toLowerCase().replace(/[^a-z0-9]/g, '');
  if (plain(words) === plain(name)) found.push(`${at}: only its name again`);
  if (!/^[^a-z]/.test(words) && !/^(dB|ffmpeg|ffprobe)\b/.test(words)) found.push(`${at}: begins small`);
  if (!words.endsWith('.') || /\s\s|,\.$/.test(words)) found.push(`${at}: no sentence: ${words}`);
  return found;
}

const EXPLAINED = ['target', 'manifest', 'waivers', 'measurement'] as const;

describe('the JSON Schemas of documents people write, and of measurements', () => {
  it.each(EXPLAINED)('%s: every key says what it means', (name) => {
    const schema = jsonSchema(name);
    expect(schema.description, 'of the document itself').toMatch(/^[A-Z].*\.$/);
    expect(propertiesOf(schema).flatMap(faults)).toEqual([]);
  });

  it('are looked at in every corner', () => {
    const target = propertiesOf(jsonSchema('target')).map(({ at }) => at);
    for (const branch of ['then', 'else']) {
      const own = target.filter((at) => at.startsWith(`${branch}.`)).map((at) => at.split('.').at(-1));
      for (const name of ['schema', 'maxHeight', 'fit', 'matrix', 'joinGaps', 'to', 'top', 'as-original'])
        expect(own, branch).toContain(name);
    }
    const manifest = propertiesOf(jsonSchema('manifest')).map(({ at }) => at);
    const deepest =
      /clips\.items\.properties\.facts\..*hdr\.properties\.mastering\.anyOf\.0\.properties\.white$/;
    expect(manifest.some((at) => deepest.test(at))).toBe(true);
    expect(propertiesOf(jsonSchema('waivers')).map(({ name }) => name)).toContain('sha256');
  });

  it('would be found out', () => {
    const wrong = (schema: Json): number =>
      propertiesOf({ items: { properties: { maxFrames: schema } } }).flatMap(faults).length;
    expect(wrong({ type: 'number' })).toBe(1);
    expect(wrong({ description: ' ' })).toBe(1);
    expect(wrong({ description: 'Max frames.' })).toBe(1);
    expect(wrong({ description: 'Frames that are allowed,' })).toBe(1);
    expect(wrong({ description: 'Frames that are allowed,.' })).toBe(1);
    expect(wrong({ description: 'frames that are allowed.' })).toBe(1);
    expect(wrong({ description: 'Frames that are allowed.', anyOf: [{ properties: { x: {} } }] })).toBe(1);
  });

  it('tell a default after the words, as the schema has it', () => {
    const told = (schema: z.ZodType): string | undefined => field('Most frames.', schema).description;
    expect(told(z.number().default(0.5))).toBe('Most frames. Default: 0.5.');
    expect(told(z.number().default(0))).toBe('Most frames. Default: 0.');
    expect(told(z.boolean().default(true))).toBe('Most frames. Default: `true`.');
    expect(told(z.array(z.string()).default(['a', 'b']))).toBe('Most frames. Default: `a`, `b`.');
    expect(told(z.number().optional())).toBe('Most frames.');
  });

  it('name the figures that lie elsewhere as they are there', () => {
    const all = propertiesOf(jsonSchema('target').else);
    const words = (place: string): string =>
      String(all.find(({ at }) => at.replace(/properties\.|anyOf\.\d\./g, '') === place)?.schema.description);
    expect(words('require.short-shots.minFrames')).toContain(`at most ${SHORT_SHOT_BELOW}.`);
    expect(words('require.freeze-frames.seconds')).toContain(`at least ${LEAST_FREEZE_FRAMES} frames`);
    expect(words('require.constant-colour.tolerance')).toContain(`at most ${WIDEST_FLAT}.`);
  });
});
