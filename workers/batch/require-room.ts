import { GoodgateError } from '../../jobs/errors.js';
import { bytes } from '../../jobs/words/quantities.js';
import { type Room, roomIn } from './volumes.js';

const LOOK_EVERY_MS = 2_000;

/** An estimate by the codec's figures alone may be off by half, one by finished clips by a fifth. */
const SURE = { figures: 0.5, experience: 0.8 } as const;

/** What is about to be written into one folder. */
export interface Needed {
  readonly folder: string;
  readonly bytes: number;
  /** Whether finished clips of the kind stand behind it. */
  readonly isKnown: boolean;
}

/**
 * Stops before hours of encoding that cannot fit beside the report, which has room of its own. Folders may
 * lie on several volumes.
 *
 * @throws GoodgateError `disk-full`.
 */
export async function requireRoom(all: readonly Needed[]): Promise<void> {
  const volumes = new Map<number, { folder: string; room: Room; sure: number; told: number }>();
  for (const { folder, bytes: needed, isKnown } of all) {
    const room = await roomIn(folder);
    const volume = volumes.get(room.device) ?? { folder, room, sure: 0, told: 0 };
    volume.sure += needed * (isKnown ? SURE.experience : SURE.figures);
    volume.told += needed;
    volumes.set(room.device, volume);
  }
  for (const { folder, room, sure, told } of volumes.values()) {
    if (room.free - room.aside >= sure) continue;
    throw full(folder, `about ${bytes(told)} are needed for this clip, ${bytes(room.free)} are free`);
  }
}

/** Room that is looked at while files grow. */
export interface WatchedRoom {
  /** Aborts when no more is left than the report needs; its reason is the error. */
  readonly signal: AbortSignal;
  stop(): void;
}

/**
 * Ends what is being made while there is still room for the report that says why.
 *
 * @param look asks for the room; what it cannot say is passed over
 */
export function watchRoom(
  folder: string,
  look: (folder: string) => Promise<Room> = roomIn,
  everyMs = LOOK_EVERY_MS,
): WatchedRoom {
  const filled = new AbortController();
  const looking = setInterval(() => {
    look(folder)
      .then(({ free, aside }) => {
        if (free < aside) filled.abort(full(folder, `only ${bytes(free)} are left, kept for the report`));
      })
      .catch(() => undefined);
  }, everyMs);
  looking.unref();
  return { signal: filled.signal, stop: () => clearInterval(looking) };
}

function full(folder: string, what: string): GoodgateError {
  return new GoodgateError('disk-full', {
    what,
    where: folder,
    next: 'free some space or choose another folder with --out, then run it again: what is done stays done',
  });
}
