import { z } from 'zod';
import { comparison } from '../comparison/comparison.js';
import { cardCheck } from '../hash-list/card-check.js';
import { manifest } from '../manifest/manifest.js';
import { measurement } from '../measurement/measurement.js';
import { batch } from '../plan/batch.js';
import { storedPlan } from '../plan/stored-plan.js';
import { watchList } from '../plan/watch-list.js';
import { target } from '../targets/target.js';
import { findings } from '../verdict/findings.js';
import { verdict } from '../verdict/verdict.js';
import { waivers } from '../verdict/waivers.js';
import { isRecord } from './is-record.js';

/**
 * Documents people write are described as input (keys with defaults are optional), the others as output.
 */
const DOCUMENTS = {
  manifest: { schema: manifest, io: 'input' },
  target: { schema: target, io: 'input' },
  waivers: { schema: waivers, io: 'input' },
  'watch-list': { schema: watchList, io: 'input' },
  plan: { schema: storedPlan, io: 'output' },
  measurement: { schema: measurement, io: 'output' },
  comparison: { schema: comparison, io: 'output' },
  verdict: { schema: verdict, io: 'output' },
  findings: { schema: findings, io: 'output' },
  batch: { schema: batch, io: 'output' },
  'card-check': { schema: cardCheck, io: 'output' },
} as const satisfies Record<string, { schema: z.ZodType; io: 'input' | 'output' }>;

export type DocumentName = keyof typeof DOCUMENTS;
export const DOCUMENT_NAMES = Object.keys(DOCUMENTS).sort() as DocumentName[];

/** The JSON Schema (draft 2020-12) of a document, for editors and for other programs. */
export function jsonSchema(name: DocumentName): Record<string, unknown> {
  const { schema, io } = DOCUMENTS[name];
  const { $schema, description, ...body } = z.toJSONSchema(schema, { io });
  const about = description === undefined ? {} : { description };
  const head = { $schema, title: `goodgate ${name}`, ...about, type: 'object' };
  if (name !== 'target') return { ...head, ...body };
  // A target that extends another inherits what it leaves out; `null` removes an inherited key.
  const extending = { ...loosened(body), required: ['schema', 'name', 'title', 'extends'] };
  // biome-ignore lint/suspicious/noThenProperty: the keyword is JSON Schema's
  return { ...head, if: { required: ['extends'] }, then: extending, else: body };
}

/** The schema with nothing required, and with null for anything inside `make` and `require`. */
function loosened(schema: Record<string, unknown>): Record<string, unknown> {
  const loose = (value: unknown): unknown => {
    if (Array.isArray(value)) return value.map(loose);
    return isRecord(value) ? loosened(value) : value;
  };
  const entries = Object.entries(schema).filter(([key]) => key !== 'required');
  return Object.fromEntries(
    entries.map(([key, value]) => {
      if (key !== 'properties' || !isRecord(value)) return [key, loose(value)];
      const properties = Object.entries(value).map(([name, property]) => [
        name,
        name === 'schema' || name === 'name' ? property : orNull(loose(property)),
      ]);
      return [key, Object.fromEntries(properties)];
    }),
  );
}

/** The description stays outside `anyOf`, where editors look for it. */
function orNull(property: unknown): unknown {
  if (!isRecord(property) || !('description' in property)) {
    return { anyOf: [property, { type: 'null' }] };
  }
  const { description, ...shape } = property;
  return { description, anyOf: [shape, { type: 'null' }] };
}
