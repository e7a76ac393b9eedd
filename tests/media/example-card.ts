import { mkdir, writeFile } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import { hashOf } from '../../workers/hash-list/hasher.js';
import { CHAIN_FILE, HISTORY_FOLDER } from '../../workers/hash-list/read-history.js';

/** Writes files below a folder, by path. */
export async function writeFiles(
  folder: string,
  files: Readonly<Record<string, string | Uint8Array>>,
): Promise<void> {
  for (const [path, content] of Object.entries(files)) {
    await mkdir(dirname(join(folder, path)), { recursive: true });
    await writeFile(join(folder, path), content);
  }
}

/**
 * The cards of the example scenarios of ASC MHL (public repository ascmitc/mhl, examples/scenarios), byte for
 * byte: what the published hashes are of.
 */
export const EXAMPLE_CARDS = {
  A002R2EC: {
    'Clips/A002C006_141024_R2EC.mov': 'abcd\n',
    'Clips/A002C007_141024_R2EC.mov': 'def\n',
    'Sidecar.txt': 'BLOREM ipsum dolor sit amet, consetetur sadipscing elitr.\n',
  },
  A003R2EC: {
    'Clips/A003C011_141024_R2EC.mov': 'vbgh\n',
    'Clips/A003C012_141024_R2EC.mov': 'zhgdr\n',
    'Sidecar.txt': 'Dolor sit amet, consetetur sadipscing elitr.\n',
  },
} as const;

/** Summary.txt of the folder both cards lie in, in the fifth scenario. */
export const EXAMPLE_SUMMARY = 'This is a random summary\n\n* A002R2EC\n* A003R2EC\n';

export interface ListedInTest {
  readonly path: string;
  readonly size?: number;
  /** `<xxh64 action="original">...</xxh64>`, as many as there are. */
  readonly hashes: string;
}

/** A list as another program may write it: pretty, with dates that have an offset. */
export function listText(
  files: readonly ListedInTest[],
  extra: { readonly process?: string; readonly hashes?: string; readonly tail?: string } = {},
): string {
  const entries = files.map(
    ({ path, size, hashes }) =>
      `<hash><path${size === undefined ? '' : ` size="${size}"`} lastmodificationdate="2020-01-15T13:00:00+00:00">${path}</path>${hashes}</hash>`,
  );
  return `<?xml version="1.0" encoding="UTF-8"?>
<hashlist version="2.0" xmlns="urn:ASC:MHL:v2.0">
  <creatorinfo>
    <creationdate>2020-01-16T09:15:00+00:00</creationdate>
    <hostname>host</hostname>
    <tool version="1">test</tool>
  </creatorinfo>
  <processinfo><process>in-place</process>${extra.process ?? ''}</processinfo>
  <hashes>${entries.join('\n')}${extra.hashes ?? ''}</hashes>${extra.tail ?? ''}
</hashlist>
`;
}

/** Puts generations and their chain into a folder. */
export async function writeHistory(folder: string, lists: readonly string[]): Promise<void> {
  const names = lists.map(
    (_, index) => `000${index + 1}_${folder.split('/').at(-1)}_2020-01-${16 + index}_091500Z.mhl`,
  );
  const links = await Promise.all(
    lists.map(async (text, index) => {
      const c4 = await hashOf('c4', [Buffer.from(text)]);
      return `<hashlist sequencenr="${index + 1}"><path>${names[index]}</path><c4>${c4}</c4></hashlist>`;
    }),
  );
  await writeFiles(join(folder, HISTORY_FOLDER), {
    ...Object.fromEntries(lists.map((text, index) => [names[index] ?? '', text])),
    [CHAIN_FILE]: `<?xml version="1.0" encoding="UTF-8"?>\n<ascmhldirectory xmlns="urn:ASC:MHL:DIRECTORY:v2.0">${links.join('')}</ascmhldirectory>\n`,
  });
}
