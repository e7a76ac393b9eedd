import { homedir } from 'node:os';
import { join, resolve } from 'node:path';

/** The environment, read here and nowhere else. */
export interface Environment {
  /** Redis named by the user; null: a private one. */
  readonly redisUrl: string | null;
  readonly stateFolder: string;
  /** ffmpeg program, when not the one on the PATH. */
  readonly ffmpegPath: string | undefined;
  readonly ffprobePath: string | undefined;
  readonly noColour: boolean;
}

function given(value: string | undefined): string | undefined {
  return value === undefined || value === '' ? undefined : value;
}

export function readEnvironment(env: NodeJS.ProcessEnv = process.env): Environment {
  const state = given(env.GOODGATE_STATE);
  const base = given(env.XDG_STATE_HOME) ?? join(homedir(), '.local', 'state');
  return {
    redisUrl: given(env.REDIS_URL) ?? null,
    stateFolder: resolve(state ?? join(base, 'goodgate')),
    ffmpegPath: given(env.GOODGATE_FFMPEG),
    ffprobePath: given(env.GOODGATE_FFPROBE),
    noColour: given(env.NO_COLOR) !== undefined,
  };
}

/** Which ffmpeg and ffprobe are meant, and where answers about them are kept: the same for planning and for work. */
export function ffmpegOf({ ffmpegPath, ffprobePath, stateFolder }: Environment) {
  return { ffmpegPath, ffprobePath, cacheFolder: stateFolder };
}
