import { homedir } from 'node:os';
import { join, resolve } from 'node:path';
import type { Tools } from '../workers/ffmpeg/tools.js';

/** Every variable read below, in words. */
export const ENVIRONMENT_WORDS = [
  [
    'REDIS_URL',
    'Server of the queue, such as redis://host:6379. Unset: a private one. --redis goes before it.',
  ],
  [
    'GOODGATE_SETTINGS',
    'Settings file. Default: goodgate/settings.yaml in XDG_CONFIG_HOME. --settings goes before it.',
  ],
  ['XDG_CONFIG_HOME', 'Where the settings file is by default. Unset: ~/.config.'],
  [
    'GOODGATE_STATE',
    'State folder: the private Redis, and what ffmpeg can do. Default: goodgate in XDG_STATE_HOME.',
  ],
  ['XDG_STATE_HOME', 'Where the state folder is by default. Unset: ~/.local/state.'],
  ['GOODGATE_FFMPEG', 'The ffmpeg that is planned for, makes and measures.'],
  ['GOODGATE_FFPROBE', 'The ffprobe that reads what files say of themselves.'],
  ['NO_COLOR', 'No colour on the terminal, where it is set to anything.'],
] as const;

/** The environment, read here and nowhere else. */
export interface Environment {
  /** Redis named by the user; null: a private one. */
  readonly redisUrl: string | null;
  readonly stateFolder: string;
  /** The settings file, which may be missing unless somebody named it. */
  readonly settings: { readonly file: string; readonly isNamed: boolean };
  /** Programs to start; by default those of the PATH. */
  readonly tools: Tools;
  readonly noColour: boolean;
}

function given(value: string | undefined): string | undefined {
  return value === undefined || value === '' ? undefined : value;
}

export function readEnvironment(env: NodeJS.ProcessEnv = process.env): Environment {
  const state = given(env.GOODGATE_STATE);
  const base = given(env.XDG_STATE_HOME) ?? join(homedir(), '.local', 'state');
  const settings = given(env.GOODGATE_SETTINGS);
  const configuration = given(env.XDG_CONFIG_HOME) ?? join(homedir(), '.config');
  return {
    settings: {
      file: resolve(settings ?? join(configuration, 'goodgate', 'settings.yaml')),
      isNamed: settings !== undefined,
    },
    redisUrl: given(env.REDIS_URL) ?? null,
    stateFolder: resolve(state ?? join(base, 'goodgate')),
    tools: { ffmpeg: given(env.GOODGATE_FFMPEG), ffprobe: given(env.GOODGATE_FFPROBE) },
    noColour: given(env.NO_COLOR) !== undefined,
  };
}
