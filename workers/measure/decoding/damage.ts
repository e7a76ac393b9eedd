/**
 * Detects damage in the log of ffmpeg, which exits with 0 on many damaged files: it logs the damage and
 * continues. Observed with ffmpeg 5.1.9 on truncated and overwritten files of every container and codec in
 * the tests.
 *
 * What no log can tell: a flipped bit in a codec without checksums often decodes into another valid picture.
 * Of single flips that changed the picture FFV1 with slice checksums gave all away, CineForm 9 in 10, MPEG-2
 * 2 in 3, H.264 7 in 10, DNxHR 4 in 10, ProRes 1 in 3, HEVC 1 in 17 (40 flips each; `-err_detect` changed
 * none of it for pictures, all for sound with checksums: [sound-decoding](../../ffmpeg/sound-decoding.ts)).
 * Only a checksum of the file proves more.
 */
const KEPT_MESSAGES = 20;
const KEPT_LENGTH = 500;

const CONTEXT = /^(?:\[[^\]]* @ [0-9a-fx]+\] )*/;
const LEVEL = /^\[(?<level>error|fatal|panic|warning|info)\] /;

/** Error lines about our own outputs, not about the file. */
const NOT_DAMAGE = [/non monotonically increasing dts to muxer/, /^Error writing trailer/];

/** Damage that is logged below level error. */
const DAMAGE_BELOW_ERROR = [
  /^Packet corrupt/,
  /corrupt input packet/,
  /corrupt decoded frame/,
  /PES packet size mismatch/,
  /concealing \d+ .*errors/,
  /Could not find ref with POC/,
  /(?:CRC|checksum) (?:mismatch|error)/i,
  /Slice .* damaged/i,
  /data corruption/i,
];

/**
 * Lines of demuxers that mean the file ends early. Decoders use similar words for minor things, such as a
 * message beside the picture.
 */
const EARLY_END = [
  /^File ended prematurely/,
  /^Stream ends prematurely/,
  /offset 0x[0-9a-f]+: partial file/,
  /^no index at the end/,
  /^File (?:is )?truncated/,
  /^Truncat(?:ed packet!|ing packet of size)/,
  /unexpected end of file/i,
];

/**
 * MOV and MP4: told for each stream that is still read then, so how often depends on what else is made of the
 * file in the same program. It is one fault of the file.
 */
const PARTIAL_FILE = /offset 0x[0-9a-f]+: partial file$/;

/**
 * The MXF demuxer did not find what an index or header points to, and guesses the reason; the structure of
 * the file is more reliable.
 */
const GUESSED_END = /partial file\?$/;

/** A message beside the picture (SEI) that is shorter than declared: nothing of the picture is lost. */
const NO_PICTURE_LOST = /^SEI type \d+ size \d+ truncated at \d+/;

/** H.261 has no key frames, which its decoder reports as an error in every file. */
const NO_KEY_FRAMES = /^\[h261 @ [^\]]*\].*first frame is no keyframe$/;

/**
 * WAV: the last packet is shorter than what ffmpeg asks for at a time. It is so in every file that was
 * written to a pipe, whose header states no length; where one is stated the structure of the file tells an
 * early end.
 * The second line repeats the first in other words and names no demuxer.
 */
const SHORT_WAVE_PACKET = /^\[wav @ [^\]]*\].*Packet corrupt/;
const CORRUPT_INPUT = /corrupt input packet in stream \d+$/;

/** Counts damage in the log of ffmpeg. */
export class DamageLog {
  errors = 0;
  endsEarly = false;
  readonly messages: string[] = [];
  /** Guesses of the demuxer that the file ends early. */
  readonly guesses: string[] = [];
  #isPartial = false;
  #isShortWave = false;

  read(line: string): void {
    const rest = line.replace(CONTEXT, '');
    const level = LEVEL.exec(rest)?.groups?.['level'];
    if (level === undefined) return;
    const text = rest.slice(level.length + 3);
    if (level === 'info' && !DAMAGE_BELOW_ERROR.some((pattern) => pattern.test(text))) return;
    const repeatsShort = this.#isShortWave && CORRUPT_INPUT.test(text);
    if (repeatsShort) this.#isShortWave = false;
    const isShort = SHORT_WAVE_PACKET.test(line);
    // Other lines may come in between.
    this.#isShortWave ||= isShort;
    if (isShort || repeatsShort) return;
    if (NO_PICTURE_LOST.test(text) || NO_KEY_FRAMES.test(line)) return;
    if (GUESSED_END.test(text)) {
      if (this.guesses.length < KEPT_MESSAGES) this.guesses.push(text.slice(0, KEPT_LENGTH));
      return;
    }
    const isPartial = PARTIAL_FILE.test(text);
    if (isPartial && this.#isPartial) return;
    this.#isPartial ||= isPartial;
    const isError = level === 'error' || level === 'fatal' || level === 'panic';
    const early = EARLY_END.some((pattern) => pattern.test(text));
    this.endsEarly ||= early;
    const damage = isError
      ? !NOT_DAMAGE.some((pattern) => pattern.test(text))
      : early || DAMAGE_BELOW_ERROR.some((pattern) => pattern.test(text));
    if (damage) this.add(text);
  }

  add(message: string): void {
    this.errors++;
    if (this.messages.length < KEPT_MESSAGES) this.messages.push(message.slice(0, KEPT_LENGTH));
  }
}
