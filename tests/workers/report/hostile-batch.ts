import type { Measurement } from '../../../jobs/measurement/measurement.js';
import { stillKey } from '../../../workers/report/stills/still.js';
import { batchOf, HOT } from './html/html-batch.js';
import { hdrMaster } from './long-programme.js';

/** One grey pixel. */
export const PIXEL =
  'data:image/png;base64,iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAAAAAA6fptVAAAACklEQVR4nGNoAAAAggCBd81ytgAAAABJRU5ErkJggg==';

/** Names that want to be markup, script, or something else than they look. */
export const ATTACKS = [
  '<script>alert(1)</script>.mov',
  '"><img src=x onerror=alert(1)>.mov',
  `' onmouseover='alert(1)`,
  '</title></style><svg onload=alert(1)>',
  '`$' + '{7*7}` {{7*7}} &lt;b&gt; ]]>',
  'a\u202Egnp.vom',
  'nul\u0000 bell\u0007 esc\u001b[2J line\nbreak',
  'zero\u200bwidth \ufeff lone \ud800 tag\u{e0041}',
  'javascript:alert(1)',
];

/** A batch with one text wherever a text can come from outside. */
export function hostileBatch(text: string) {
  const finding = {
    ...HOT,
    requirement: text,
    expected: text,
    measured: text,
    why: text,
    advice: text,
    source: text,
  };
  const place = { from: 0, to: 1, fromTimecode: text, toTimecode: text };
  const master = hdrMaster(40);
  const measurement: Measurement = {
    ...master.measurement,
    file: {
      path: text,
      bytes: 1,
      modified: text,
      changed: text,
      digest: text,
      hash: { format: 'xxh128', value: '0'.repeat(32) },
    },
    container: {
      ...{ format: text, durationSeconds: 1, startTimecode: text, reel: text },
      slate: { scene: text, take: text, note: text },
      ...{ chapters: 1, tags: { [text]: text } },
    },
    events: [{ ...place, kind: text, detail: text }],
    decode: { errors: 1, messages: [text], truncated: true, endStated: true },
    unmeasured: [{ what: text, why: text }],
    method: { ffmpeg: text, goodgate: text, standards: [text] },
  };
  const { batch, documents } = batchOf(
    [
      {
        clip: text,
        target: text,
        path: text,
        word: 'fail',
        findings: [{ ...finding, at: [place], waiver: { by: text, why: text, until: text } }],
        measurement,
        losses: [{ what: text, why: text }],
      },
    ],
    {
      id: text,
      title: text,
      startedAt: text,
      refused: [{ clip: text, target: text, reason: text, next: text }],
      unreadable: [{ file: text, reason: text }],
      method: { ffmpeg: text, goodgate: text },
    },
  );
  const stills = new Map([
    [
      stillKey(text, text, text),
      [
        { frame: 1, timecode: text, dataUri: PIXEL, caption: text },
        { frame: 2, timecode: null, dataUri: text, caption: text },
      ],
    ],
  ]);
  const requirements = new Map([[text, master.asked[0]?.require ?? {}]]);
  const all = { ...documents, stills, requirements };
  return { batch, documents: all };
}
