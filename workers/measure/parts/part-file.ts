import { readFile } from 'node:fs/promises';
import { deserialize, serialize } from 'node:v8';
import { z } from 'zod';
import { replaceFile } from '../../batch/write-whole.js';
import { COLUMN_NAMES } from '../picture/recording/picture-totals.js';
import { FrameLog } from '../reading/frame-log.js';
import { floats, frameRecord } from '../reading/frame-record.js';
import type { MeasuredPart } from './part-doubt.js';

const count = z.number().int().nonnegative();
const columns = z.record(z.enum(COLUMN_NAMES), floats);

const totals = z.strictObject({
  frames: count,
  pixelsPerFrame: count,
  luma: floats.nullable(),
  cb: floats.nullable(),
  cr: floats.nullable(),
  rgb: z
    .strictObject({
      red: floats,
      green: floats,
      blue: floats,
      firstCode: z.number(),
      codesPerBin: z.number().positive(),
    })
    .nullable(),
  light: floats.nullable(),
  brightest: floats.nullable(),
  columns,
  studies: z.record(z.string(), z.record(z.string(), floats)),
  sums: z.record(z.string(), floats),
});

const partRecord = z.strictObject({
  /** Digest of the request. */
  asked: z.string(),
  range: z.strictObject({ from: count, to: count, lead: count }),
  isLast: z.boolean(),
  shown: frameRecord,
  frameLog: frameRecord,
  answer: z.strictObject({
    kind: z.literal('done'),
    totals,
    lead: columns,
    read: z.strictObject({ frames: count, leftover: count, silent: z.boolean() }),
  }),
});

/**
 * Writes the result of a part for another worker to merge, in binary: text would be exact too, but three
 * times as large. The folder belongs to the requester: if it is gone, nobody waits.
 *
 * @param asked digest of the request
 * @throws GoodgateError `disk-full`, `cannot-write`.
 */
export async function writePart(path: string, asked: string, part: MeasuredPart): Promise<void> {
  const { range, isLast, answer } = part;
  const { kind, totals, lead, read } = answer;
  const record: z.input<typeof partRecord> = {
    ...{ asked, range, isLast, shown: part.shown.record, frameLog: part.frameLog.record },
    answer: { kind, totals: { ...totals, columns: { ...totals.columns } }, lead: { ...lead }, read },
  };
  await replaceFile(path, serialize(record));
}

/** Throws Error where the file is missing, is not a part, or not the requested one. */
export async function readPart(path: string, asked: string): Promise<MeasuredPart> {
  const { asked: answered, ...record } = partRecord.parse(deserialize(await readFile(path)));
  if (answered !== asked) throw new Error('it answers something else');
  return {
    ...record,
    shown: new FrameLog('shown', undefined, record.shown),
    frameLog: new FrameLog('measured', undefined, record.frameLog),
  };
}
