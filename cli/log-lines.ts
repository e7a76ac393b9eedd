import { Writable } from 'node:stream';
import { visible } from '../jobs/words/plain-text.js';

/** What a person at a terminal has no use for: which process, and what the batch's own log tells whole. */
const LEFT_OUT: readonly string[] = ['level', 'time', 'pid', 'msg', 'err', 'job', 'command', 'batch'];
const WARNING = 40;
const ERROR = 50;
const LONGEST_VALUE = 200;

/**
 * A line of the log, which is JSON, as a person reads it: `20:04:05 clip done: clip A001C001.mov, seconds
 * 12.5`.
 */
export function lineForPeople(json: string): string {
  let entry: unknown;
  try {
    entry = JSON.parse(json);
  } catch {
    return visible(json.trimEnd());
  }
  if (typeof entry !== 'object' || entry === null) return visible(json.trimEnd());
  const fields = new Map<string, unknown>(Object.entries(entry));
  const level = Number(fields.get('level'));
  const time = new Date(String(fields.get('time'))).toTimeString().slice(0, 8);
  const word = level >= ERROR ? 'ERROR ' : level >= WARNING ? 'WARNING ' : '';
  const details = [...fields].flatMap(([key, value]) =>
    LEFT_OUT.includes(key) || value === null || value === undefined ? [] : `${key} ${valueText(value)}`,
  );
  const rest = details.length === 0 ? '' : `: ${details.join(', ')}`;
  return visible(`${time} ${word}${String(fields.get('msg') ?? '')}${rest}`);
}

function valueText(value: unknown): string {
  const text = Array.isArray(value)
    ? value.map(String).join(' ')
    : typeof value === 'object'
      ? JSON.stringify(value)
      : String(value);
  return text.length > LONGEST_VALUE ? `${text.slice(0, LONGEST_VALUE)}…` : text;
}

/** A stream that takes the log's lines and writes them for a person. */
export function peopleStream(out: NodeJS.WritableStream): Writable {
  return new Writable({
    write(chunk, _, done) {
      for (const line of String(chunk).split('\n')) if (line !== '') out.write(`${lineForPeople(line)}\n`);
      done();
    },
  });
}
