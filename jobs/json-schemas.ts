import { z } from 'zod';
import { batch } from './batch.js';
import { findings } from './findings.js';
import { manifest } from './manifest.js';
import { measurement } from './measurement.js';
import { plan } from './plan.js';
import { target } from './target.js';
import { verdict } from './verdict.js';

/** Documents people write are described as they may be written (defaults left out), the others as they are printed. */
const DOCUMENTS = {
  manifest: { schema: manifest, io: 'input' },
  target: { schema: target, io: 'input' },
  plan: { schema: plan, io: 'output' },
  measurement: { schema: measurement, io: 'output' },
  verdict: { schema: verdict, io: 'output' },
  findings: { schema: findings, io: 'output' },
  batch: { schema: batch, io: 'output' },
} as const satisfies Record<string, { schema: z.ZodType; io: 'input' | 'output' }>;

export type DocumentName = keyof typeof DOCUMENTS;
export const DOCUMENT_NAMES = Object.keys(DOCUMENTS).sort() as DocumentName[];

/** The JSON Schema (draft 2020-12) of a document, for editors and for other programs. */
export function jsonSchema(name: DocumentName): Record<string, unknown> {
  const { schema, io } = DOCUMENTS[name];
  return { title: `goodgate ${name}`, ...z.toJSONSchema(schema, { io }) };
}
