import { lstat } from 'node:fs/promises';
import { extname } from 'node:path';
import { GoodgateError } from '../jobs/errors.js';

/**
 * Refuses to write over a file that is there already: it may be a clip, or hold what somebody wrote by hand.
 *
 * @param other what else can be done about it
 * @param endings files with these endings, `.csv`, may be replaced where `force` allows it; others never
 * @throws GoodgateError `bad-option`
 */
export async function requireNewFile(
  path: string,
  {
    force,
    endings,
    other,
  }: { readonly force: boolean; readonly endings: readonly string[]; readonly other?: string },
): Promise<void> {
  const there = await lstat(path).catch(() => null);
  if (there === null) return;
  const replaceable = there.isFile() && endings.includes(extname(path).toLowerCase());
  if (force && replaceable) return;
  throw new GoodgateError('bad-option', {
    what: replaceable
      ? 'there is a file of this name already'
      : `there is something of this name already that is no ${endings.join(' or ')} file`,
    where: path,
    next: replaceable
      ? ['give another name', ...(other === undefined ? [] : [other]), 'or --force to replace it'].join(', ')
      : 'give another name',
  });
}
