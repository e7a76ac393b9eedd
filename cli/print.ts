import { once } from 'node:events';
import { GoodgateError } from '../jobs/errors.js';
import { visible } from '../jobs/words/plain-text.js';
import { withoutSecrets } from '../jobs/words/without-secrets.js';

/** Data goes to stdout. */
export function print(text = ''): void {
  process.stdout.write(`${text}\n`);
}

/** A long document, as fast as it is taken. */
export async function printText(pieces: Iterable<string>): Promise<void> {
  for (const piece of pieces) if (!process.stdout.write(piece)) await once(process.stdout, 'drain');
}

/** How much is told on stderr: problems alone; what a person wants to know; every step as well. */
export type Speech = 'quiet' | 'usual' | 'verbose';

/** Set once, before a command runs: like the exit code it belongs to the process. */
let speech: Speech = 'usual';

export function speakAs(chosen: Speech): void {
  speech = chosen;
}

export function isQuiet(): boolean {
  return speech === 'quiet';
}

/** What a person may want to know while data goes elsewhere: stderr, unless it is to be quiet. */
export function say(text = ''): void {
  if (!isQuiet()) warn(text);
}

/** A step on the way, for whoever looks for the cause of something: stderr, with `--verbose` only. */
export function step(text: string): void {
  if (speech === 'verbose') warn(text);
}

/**
 * What a person has to know, however quiet it is to be: a problem, or a caution. No password of an address
 * gets there.
 */
export function warn(text: string): void {
  process.stderr.write(`${withoutSecrets(text)}\n`);
}

export function printJson(document: unknown): void {
  print(JSON.stringify(document, null, 2));
}

/** What, where, what next; a stack only on demand. */
export function describeError(error: unknown, debug: boolean): string {
  const lines: string[] = [];
  if (error instanceof GoodgateError) {
    lines.push(`goodgate: ${shown(error)}`);
    if (error.where !== undefined) lines.push(`  where: ${visible(error.where)}`);
    if (error.next !== undefined) lines.push(`  next:  ${visible(error.next)}`);
  } else {
    lines.push(
      `goodgate: an unforeseen fault: ${visible(error instanceof Error ? error.message : String(error))}`,
    );
    lines.push('  next:  run it again with --debug and report what it prints');
  }
  if (debug && error instanceof Error)
    lines.push(error.stack ?? '', error.cause === undefined ? '' : `cause: ${String(error.cause)}`);
  return lines.filter((line) => line !== '').join('\n');
}

/**
 * Only a document's list of problems has lines of its own: anywhere else a line break was brought in by a
 * name.
 */
function shown({ code, what }: GoodgateError): string {
  return code === 'bad-document' ? what.split('\n').map(visible).join('\n') : visible(what);
}
