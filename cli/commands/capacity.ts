import { type Command, InvalidArgumentError, Option } from 'commander';
import {
  mediumFor,
  RECORDED_FORMS,
  type RecordedForm,
  readSize,
  recordedBitRate,
} from '../../jobs/codecs/capacity.js';
import { pictureCodec } from '../../jobs/codecs/picture-codecs.js';
import { GoodgateError } from '../../jobs/errors.js';
import { fixed } from '../../jobs/words/numbers.js';
import { bytes } from '../../jobs/words/quantities.js';
import { estimate } from '../../jobs/words/times.js';
import type { CommandHelp } from '../help/command-help.js';
import { print, printJson } from '../print.js';
import { repeatable } from './options.js';

interface Raster {
  readonly width: number;
  readonly height: number;
}

const RASTERS = ['1920x1080', '3840x2160'];
const RATES = ['24000/1001', '25', '30000/1001', '50'];

interface Options {
  size?: number;
  minutes?: number;
  raster: string[];
  rate: string[];
  channels: number;
  json?: boolean;
}

/** One line of the answer. */
interface Capacity extends RecordedForm, Raster {
  /** Frames a second, `num/den` or whole. */
  readonly frameRate: string;
  readonly bitsPerSecond: number;
  /** What fits the medium. */
  readonly minutes: number | null;
  /** What so many minutes take. */
  readonly bytes: number | null;
  /** The smallest usual medium that holds them, in bytes; null: none does. */
  readonly medium: number | null;
}

function sizeArgument(text: string): number {
  const size = readSize(text);
  if (size === null) throw new InvalidArgumentError('A size such as 512GB, 1TB or 1.5TiB is needed.');
  return size;
}

function minutesArgument(text: string): number {
  const value = /^\d{1,6}(\.\d+)?$/.test(text) ? Number(text) : 0;
  if (value <= 0) throw new InvalidArgumentError('A number of minutes is needed.');
  return value;
}

function channelsArgument(text: string): number {
  if (!/^\d{1,2}$/.test(text)) throw new InvalidArgumentError('A number from 0 to 99 is needed.');
  return Number(text);
}

function readRaster(text: string): Raster {
  const [, width, height] = /^([1-9]\d{1,4})x([1-9]\d{1,4})$/.exec(text) ?? [];
  if (width === undefined) throw wrong('--raster', text, 'a width and height such as 3840x2160');
  return { width: Number(width), height: Number(height) };
}

function readRate(text: string): number {
  const [, num, den = '1'] = /^([1-9]\d{0,5})(?:\/([1-9]\d{0,4}))?$/.exec(text) ?? [];
  if (num === undefined) throw wrong('--rate', text, 'frames a second such as 25 or 30000/1001');
  return Number(num) / Number(den);
}

function wrong(option: string, given: string, needed: string): GoodgateError {
  return new GoodgateError('bad-option', {
    what: `${option}: given ${JSON.stringify(given)}`,
    next: `give ${needed}`,
  });
}

export const help: CommandHelp = {
  notes: [
    '4:2:2/10 is 4:2:2 with 10 bits. With --minutes the smallest usual medium stands in brackets, and a ! where it takes several. From the rates that sizes are planned with: for ProRes those of its specification; for codecs that are steered by quality a rough figure, which noise and motion can double or halve. Sizes are decimal, as on labels (1TB is 10^12 bytes, 1TiB 2^40); leave some room, since file systems take a little.',
  ],
  examples: [
    ['goodgate capacity --size 1TB', 'how many minutes fit'],
    ['goodgate capacity --minutes 90 --raster 3840x2160 --rate 25', 'what 90 minutes take'],
    ['goodgate capacity --size 512GB --channels 8 --json', 'with eight channels of sound, for a program'],
  ],
  exits: { 0: 'printed' },
};

export function register(program: Command): void {
  program
    .command('capacity')
    .description('minutes that fit a medium, or the medium so many minutes need')
    .addOption(
      new Option('--size <size>', 'a medium, such as 512GB, 1TB or 1TiB')
        .argParser(sizeArgument)
        .conflicts('minutes'),
    )
    .addOption(new Option('--minutes <number>', 'minutes of a shoot').argParser(minutesArgument))
    .addOption(repeatable('--raster <WxH>', 'width and height', RASTERS.join(' and ')))
    .addOption(repeatable('--rate <rate>', 'frames a second, such as 25 or 30000/1001', RATES.join(', ')))
    .option('--channels <number>', 'channels of sound, 24 bits at 48 kHz', channelsArgument, 2)
    .option('--json', 'print one document')
    .action((options: Options) => {
      if (options.size === undefined && options.minutes === undefined) {
        throw new GoodgateError('bad-option', {
          what: 'neither a medium nor a length is given',
          next: 'add --size 1TB for the minutes that fit, or --minutes 90 for the space they take',
        });
      }
      const all = capacities(options);
      if (options.json) printJson(all);
      else print(capacityText(all));
    });
}

function capacities({ size, minutes, raster, rate, channels }: Options): Capacity[] {
  const rasters = (raster.length === 0 ? RASTERS : raster).map(readRaster);
  const rates = (rate.length === 0 ? RATES : rate).map((frameRate) => ({
    frameRate,
    value: readRate(frameRate),
  }));
  return rasters.flatMap((picture) =>
    RECORDED_FORMS.flatMap((form) =>
      rates.map(({ frameRate, value }): Capacity => {
        const bitsPerSecond = Math.round(recordedBitRate(form, picture, value, channels));
        const taken = minutes === undefined ? null : Math.round((bitsPerSecond * minutes * 60) / 8);
        return {
          ...{ ...form, ...picture, frameRate, bitsPerSecond, bytes: taken },
          minutes: size === undefined ? null : (size * 8) / bitsPerSecond / 60,
          medium: taken === null ? null : mediumFor(taken),
        };
      }),
    ),
  );
}

const NAME_WIDTH = 20;
const CELL_WIDTH = 15;

/** A table for each raster: a line for each form, a column for each rate. */
function capacityText(all: readonly Capacity[]): string {
  const rates = [...new Set(all.map(({ frameRate }) => frameRate))];
  const rasters = [...new Set(all.map(({ width, height }) => `${width}x${height}`))];
  return rasters
    .map((raster) => {
      const here = all.filter(({ width, height }) => `${width}x${height}` === raster);
      const names = [...new Set(here.map(nameOf))];
      const head =
        raster.padEnd(NAME_WIDTH) + rates.map((rate) => rateWords(rate).padStart(CELL_WIDTH)).join('');
      const lines = names.map((name) => {
        const cells = here
          .filter((each) => nameOf(each) === name)
          .map((each) => cell(each).padStart(CELL_WIDTH));
        return name.padEnd(NAME_WIDTH) + cells.join('');
      });
      return [head, ...lines].join('\n');
    })
    .join('\n\n');
}

function nameOf({ codec, profile, bitDepth, chroma }: Capacity): string {
  const { title } = pictureCodec(codec);
  return `${title} ${profile ?? `${chroma}/${bitDepth}`}`;
}

function rateWords(rate: string): string {
  return `${fixed(readRate(rate), rate.includes('/') ? 2 : 0)} fps`;
}

/** As it stands on the label. */
function mediumWords(size: number): string {
  return size < 1e12 ? `${size / 1e9}G` : `${size / 1e12}T`;
}

/** Minutes that fit; or bytes, and in brackets the smallest usual medium (`!`: larger than any). */
function cell({ minutes, bytes: taken, medium }: Capacity): string {
  if (minutes !== null) return estimate(minutes * 60);
  return `${bytes(taken ?? 0)}${medium === null ? ' !' : ` (${mediumWords(medium)})`}`;
}
