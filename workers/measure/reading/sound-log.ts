/** The audio format of a frame as decoded, before any conversion. */
export interface SoundFrameFormat {
  readonly sampleFormat: string;
  readonly channels: number;
  readonly layout: string;
  readonly sampleRate: number;
}

export interface SoundFormatChange {
  /** Seconds from the start of the file, as ffmpeg counts them. */
  readonly seconds: number | null;
  readonly before: SoundFrameFormat;
  readonly after: SoundFrameFormat;
}

interface StreamLog {
  readonly first: SoundFrameFormat;
  readonly start: number | null;
  readonly changes: SoundFormatChange[];
  last: SoundFrameFormat;
}

const FRAME_LINE =
  /^n:\d+ pts:\S+ pts_time:(?<time>\S+) (?:pos:\S+ )?fmt:(?<format>\S+) channels:(?<channels>\d+) chlayout:(?<layout>.+?) rate:(?<rate>\d+) nb_samples:/;

/**
 * Reads what ffmpeg's `ashowinfo` filter prints of the first audio frame of each filter graph.
 *
 * ffmpeg rebuilds the graph whenever sample rate, layout or format of the decoder changes, and then silently
 * converts to the first format. So one line for each graph is enough, instead of one for each of millions of
 * frames. The filters have random names for each run, so that metadata of a clip cannot imitate a frame.
 */
export class SoundLog {
  readonly #id: string;
  readonly #prefix: RegExp;
  readonly #streams: StreamLog[] = [];

  constructor(id: string) {
    this.#id = id;
    this.#prefix = new RegExp(`\\[ashowinfo@${id}s(\\d+) @ [0-9a-fx]+\\] (?:\\[\\w+\\] )?`);
  }

  /** The filter graph to put before stream `index` of those that are measured (`-af`). */
  filter(index: number): string {
    const first = `[first]atrim=end_sample=1,ashowinfo@${this.#id}s${index}=,anullsink`;
    return `asplit[all][first];${first};[all]anull`;
  }

  /** True when the line came from one of the filters. */
  read(line: string): boolean {
    const prefix = this.#prefix.exec(line);
    if (!prefix) return false;
    const { time, format, channels, layout, rate } =
      FRAME_LINE.exec(line.slice(prefix.index + prefix[0].length))?.groups ?? {};
    if (time === undefined || format === undefined || layout === undefined) return true;
    const at = Number(time);
    const seconds = Number.isFinite(at) ? at : null;
    const seen = { sampleFormat: format, channels: Number(channels), layout, sampleRate: Number(rate) };
    const index = Number(prefix[1]);
    const known = this.#streams[index];
    if (!known) {
      this.#streams[index] = { first: seen, last: seen, start: seconds, changes: [] };
      return true;
    }
    if (!sameFormat(known.last, seen)) {
      known.changes.push({ seconds, before: known.last, after: seen });
    }
    known.last = seen;
    return true;
  }

  /** Format of the first frame; null when none came. */
  first(index: number): SoundFrameFormat | null {
    return this.#streams[index]?.first ?? null;
  }

  /**
   * Time of the first sample, seconds from the start of the file; null when none came or it has no time
   * stamp.
   */
  startSeconds(index: number): number | null {
    return this.#streams[index]?.start ?? null;
  }

  changes(index: number): readonly SoundFormatChange[] {
    return this.#streams[index]?.changes ?? [];
  }
}

/** `48000 Hz, stereo, s16`. */
export function formatText({ sampleRate, layout, sampleFormat }: SoundFrameFormat): string {
  return `${sampleRate} Hz, ${layout}, ${sampleFormat}`;
}

function sameFormat(a: SoundFrameFormat, b: SoundFrameFormat): boolean {
  return (
    a.sampleFormat === b.sampleFormat &&
    a.channels === b.channels &&
    a.layout === b.layout &&
    a.sampleRate === b.sampleRate
  );
}
