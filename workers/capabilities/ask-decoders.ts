import { queryFfmpeg } from '../ffmpeg/run-ffmpeg.js';
import type { Tools } from '../ffmpeg/tools.js';

/** ` DEV.L. h264   H.264 / AVC ...`: the first letter says whether there is a decoder. */
const LINE = /^\s(?<decodes>[D.])[E.][VASDT.][I.][L.][S.]\s(?<codec>[\w.-]+)\s/;

/** Names of codecs that ffmpeg knows and has no decoder for. Pure. */
export function readUndecodable(codecs: string): string[] {
  return codecs.split('\n').flatMap((line) => {
    const { decodes, codec } = LINE.exec(line)?.groups ?? {};
    return decodes === '.' && codec !== undefined ? [codec] : [];
  });
}

/** Throws GoodgateError `missing-tool`. */
export async function askUndecodable(tools?: Tools): Promise<ReadonlySet<string>> {
  return new Set(readUndecodable(await queryFfmpeg(['-codecs'], tools)));
}
