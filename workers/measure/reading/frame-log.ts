import { type Rational, rational } from '../../../signal/rational.js';
import { AspectLog } from './aspect-log.js';
import { emptyFrameRecord, type FormatChange, type FrameFormat, type FrameRecord } from './frame-record.js';

/** `level` is there with `-loglevel level`; ffmpeg 6 and newer add `duration` and `cl`. */
const FRAME_LINE =
  /^n: *\d+ pts: *(?<pts>-?\d+|NOPTS) .*?\bfmt:(?<format>\S+) .*?(?:\bsar:(?<aspect>\d+\/\d+) )?\bs:(?<width>\d+)x(?<height>\d+) i:(?<scan>[PTB?])(?: iskey:(?<key>[01]) type:(?<type>\S))?/;
const TIME_BASE_LINE = /^config in time_base: (\d+)\/(\d+)/;
const NUMBER = '(-?[\\d.]+)';
const PAIR = `\\(${NUMBER}[, ]+${NUMBER}\\)`;
const MASTERING_LINE = new RegExp(
  `^ *side data - mastering display: has_primaries:1 has_luminance:1 r${PAIR} g${PAIR} b${PAIR} wp${PAIR} ` +
    `min_luminance=${NUMBER}, max_luminance=${NUMBER}`,
  'i',
);
const LIGHT_LEVEL_LINE = /^ *side data - Content Light Level information: MaxCLL=(\d+), MaxFALL=(\d+)/i;

/**
 * Reads what ffmpeg's `showinfo` filter prints for each decoded frame: time stamp, format, HDR side data. The
 * filter has a random name for each run, so that metadata of a clip cannot imitate a frame.
 */
export class FrameLog {
  readonly filter: string;
  readonly #prefix: RegExp;
  readonly #onFrame: (frame: number, format: FrameFormat) => void;
  #timeBase: Rational | null;
  /** Time stamps in ticks, NaN where the frame has none; grows by doubling. */
  #ticks: Float64Array;
  #frames: number;
  #last: FrameFormat | null;
  #timeBaseChanged: boolean;
  readonly #fields: FrameRecord['fields'];
  readonly #pictures: FrameRecord['pictures'];
  readonly aspects: AspectLog;
  readonly changes: FormatChange[];
  readonly hdr: FrameRecord['hdr'];

  /** @param earlier what a log in another process has already read */
  constructor(
    id: string,
    onFrame: (frame: number, format: FrameFormat) => void = () => {},
    earlier: FrameRecord = emptyFrameRecord(),
  ) {
    this.filter = `showinfo@${id}=checksum=0`;
    this.#prefix = new RegExp(`^\\[showinfo@${id} @ [0-9a-fx]+\\] (?:\\[\\w+\\] )?`);
    this.#onFrame = onFrame;
    this.#timeBase = earlier.timeBase;
    this.#timeBaseChanged = earlier.timeBaseChanged;
    this.#frames = earlier.ticks.length;
    this.#ticks = new Float64Array(Math.max(1024, earlier.ticks.length));
    this.#ticks.set(earlier.ticks);
    this.#last = earlier.last;
    this.#fields = { ...earlier.fields };
    this.#pictures = { ...earlier.pictures };
    this.aspects = new AspectLog(earlier.aspects);
    this.changes = [...earlier.changes];
    this.hdr = { ...earlier.hdr };
  }

  /** All that was read, for another process. */
  get record(): FrameRecord {
    return {
      timeBase: this.#timeBase,
      timeBaseChanged: this.#timeBaseChanged,
      ticks: this.#ticks.slice(0, this.#frames),
      last: this.#last,
      fields: this.#fields,
      pictures: this.#pictures,
      aspects: this.aspects.record,
      changes: this.changes,
      hdr: this.hdr,
    };
  }

  /** True when the line came from the filter. */
  read(line: string): boolean {
    const prefix = this.#prefix.exec(line);
    if (!prefix) return false;
    const text = line.slice(prefix[0].length);
    if (text.startsWith('n:')) this.#readFrame(text);
    else if (text.startsWith('config in')) this.#readTimeBase(text);
    else if (text.includes('side data')) this.#readSideData(text);
    return true;
  }

  get frames(): number {
    return this.#frames;
  }

  /** Frames flagged as two fields. */
  get interlacedFrames(): number {
    return this.#fields.top + this.#fields.bottom;
  }

  /** Frames flagged as two fields, by the field that comes first. */
  get fields(): { readonly top: number; readonly bottom: number } {
    return this.#fields;
  }

  /**
   * How the decoder flagged the frames: key frames, intra pictures, key frames that are none, and frames with
   * any such flag.
   */
  get pictures(): {
    readonly key: number;
    readonly intra: number;
    readonly keyNotIntra: number;
    readonly typed: number;
  } {
    return this.#pictures;
  }

  get first(): FrameFormat | null {
    return this.changes[0]?.before ?? this.#last;
  }

  /**
   * Time stamps of all frames in ticks of `timeBase`; null when they are incomplete or their unit changed.
   */
  get timestamps(): { readonly ticks: Float64Array; readonly timeBase: Rational } | null {
    if (this.#timeBase === null || this.#timeBaseChanged) return null;
    const ticks = this.#ticks.subarray(0, this.#frames);
    return ticks.some((tick) => Number.isNaN(tick)) ? null : { ticks, timeBase: this.#timeBase };
  }

  /**
   * Appends the frames of another log, which continue this one: for a file decoded in parts.
   */
  append(next: FrameLog): void {
    const frames = this.#frames + next.#frames;
    const ticks = new Float64Array(Math.max(frames, 1024));
    ticks.set(this.#ticks.subarray(0, this.#frames));
    ticks.set(next.#ticks.subarray(0, next.#frames), this.#frames);
    const [before, after] = [this.#last, next.first];
    if (before && after && !sameFormat(before, after)) {
      this.changes.push({ frame: this.#frames, before, after });
    }
    this.changes.push(...next.changes.map((change) => ({ ...change, frame: this.#frames + change.frame })));
    this.aspects.append(next.aspects, this.#frames);
    this.#timeBaseChanged ||= next.#timeBaseChanged;
    if (next.#timeBase) this.#setTimeBase(next.#timeBase);
    this.#fields.top += next.#fields.top;
    this.#fields.bottom += next.#fields.bottom;
    this.#pictures.key += next.#pictures.key;
    this.#pictures.intra += next.#pictures.intra;
    this.#pictures.keyNotIntra += next.#pictures.keyNotIntra;
    this.#pictures.typed += next.#pictures.typed;
    this.hdr.mastering ??= next.hdr.mastering;
    this.hdr.lightLevel ??= next.hdr.lightLevel;
    this.#last = next.#last ?? this.#last;
    this.#ticks = ticks;
    this.#frames = frames;
  }

  #readFrame(text: string): void {
    const { pts, format, aspect, width, height, scan, key, type } = FRAME_LINE.exec(text)?.groups ?? {};
    if (pts === undefined || format === undefined) return;
    if (this.#frames === this.#ticks.length) {
      const larger = new Float64Array(this.#ticks.length * 2);
      larger.set(this.#ticks);
      this.#ticks = larger;
    }
    this.#ticks[this.#frames] = pts === 'NOPTS' ? Number.NaN : Number(pts);
    this.aspects.read(this.#frames, aspect);
    if (scan === 'T') this.#fields.top++;
    if (scan === 'B') this.#fields.bottom++;
    if (key !== undefined && type !== undefined && type !== '?') this.#readPicture(key === '1', type === 'I');
    const seen = { pixelFormat: format, width: Number(width), height: Number(height) };
    const last = this.#last;
    if (last && !sameFormat(last, seen))
      this.changes.push({ frame: this.#frames, before: last, after: seen });
    this.#last = seen;
    this.#frames++;
    this.#onFrame(this.#frames - 1, seen);
  }

  #readPicture(isKey: boolean, isIntra: boolean): void {
    this.#pictures.typed++;
    if (isKey) this.#pictures.key++;
    if (isIntra) this.#pictures.intra++;
    if (isKey && !isIntra) this.#pictures.keyNotIntra++;
  }

  #readTimeBase(text: string): void {
    const match = TIME_BASE_LINE.exec(text);
    if (!match || Number(match[2]) === 0 || Number(match[1]) === 0) return;
    this.#setTimeBase(rational(Number(match[1]), Number(match[2])));
  }

  #setTimeBase(timeBase: Rational): void {
    const known = this.#timeBase;
    if (known && (known.num !== timeBase.num || known.den !== timeBase.den)) this.#timeBaseChanged = true;
    this.#timeBase = timeBase;
  }

  #readSideData(text: string): void {
    const mastering = MASTERING_LINE.exec(text)?.slice(1).map(Number);
    if (mastering && this.hdr.mastering === null) {
      const [rx = 0, ry = 0, gx = 0, gy = 0, bx = 0, by = 0, wx = 0, wy = 0, min = 0, max = 0] = mastering;
      this.hdr.mastering = {
        red: [rx, ry],
        green: [gx, gy],
        blue: [bx, by],
        white: [wx, wy],
        minLuminance: min,
        maxLuminance: max,
      };
    }
    const light = LIGHT_LEVEL_LINE.exec(text);
    if (light && this.hdr.lightLevel === null) {
      this.hdr.lightLevel = { maxCll: Number(light[1]), maxFall: Number(light[2]) };
    }
  }
}

function sameFormat(a: FrameFormat, b: FrameFormat): boolean {
  return a.pixelFormat === b.pixelFormat && a.width === b.width && a.height === b.height;
}
