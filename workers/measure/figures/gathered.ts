import type { FfmpegResult } from '../../ffmpeg/command.js';
import type { ContainerEnd } from '../container/container-end.js';
import type { ContainerReading } from '../container/read-container.js';
import type { DamageLog } from '../decoding/damage.js';
import type { FrameLog } from '../reading/frame-log.js';
import type { PictureAnswer } from '../reading/measure-threads.js';
import type { SoundLog } from '../reading/sound-log.js';
import type { TapOptions } from '../reading/tap.js';
import type { GatheredSound } from '../sound/sound-figures.js';

/** All data gathered when ffmpeg has ended. */
export interface Gathered extends TapOptions {
  readonly result: Pick<FfmpegResult, 'exitCode' | 'killedBy'>;
  readonly frameLog: FrameLog;
  readonly damage: DamageLog;
  readonly end: ContainerEnd;
  readonly container: ContainerReading;
  readonly pictureAnswer: PictureAnswer | null;
  readonly soundAnswer: GatheredSound['answer'];
  /** Format of the decoded sound, from the log; absent when its filters were not in the command. */
  readonly soundLog: SoundLog;
}
