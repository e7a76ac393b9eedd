import { homedir } from 'node:os';
import { join, resolve } from 'node:path';
import type { Tools } from '../workers/ffmpeg/tools.js';

/** The environment, read here and nowhere else. */
export interface Environment {
  /** Redis named by the user; null: a private one. */
  readonly redisUrl: string | null;
  readonly stateFolder: string;
  /** Programs to start; those of the PATH when left out. */
  readonly tools: Tools;
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
    tools: { ffmpeg: given(env.GOODGATE_FFMPEG), ffprobe: given(env.GOODGATE_FFPROBE) },
    noColour: given(env.NO_COLOR) !== undefined,
  };
}
