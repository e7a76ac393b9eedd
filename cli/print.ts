import { GoodgateError } from '../jobs/errors.js';
import { visible } from '../jobs/words/plain-text.js';

/** Data goes to stdout. */
export function print(text = ''): void {
  process.stdout.write(`${text}\n`);
}

/** What a person should read while data goes elsewhere: stderr. */
export function say(text = ''): void {
  process.stderr.write(`${text}\n`);
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
