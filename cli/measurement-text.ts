import type { Measurement } from '../jobs/measurement.js';
import { visible } from '../workers/report/plain-text.js';
import { formatBytes, plural } from './print.js';

const LABEL_WIDTH = 18;

function row(label: string, text: string): string {
  return `${label.padEnd(LABEL_WIDTH)}${visible(text)}`;
}

function number(value: number | null, digits: number, unit: string): string {
  return value === null ? 'none' : `${value.toFixed(digits)} ${unit}`;
}

/** Whole codes as they are; R'G'B' after the matrix falls between codes. */
function code(value: number): string {
  return Number.isInteger(value) ? String(value) : value.toFixed(1);
}

function fractionText(fraction: number): string {
  return `${(fraction * 100).toFixed(2)} %`;
}

function pictureRows(measured: Measurement): string[] {
  const { video, levels, luminance, exposure } = measured;
  if (video === null) return [row('picture', 'none')];
  const { colour, bitDepth, chroma } = video;
  const rows = [
    row(
      'picture',
      `${video.codec}${video.profile === null ? '' : ` ${video.profile}`}, ${video.width}x${video.height}, ${video.frameRate ?? 'no rate'}${video.constantRate === false ? ' (not constant)' : ''}, ${video.scan ?? 'scan not declared'}`,
    ),
    row('frames', `${video.frames} decoded, ${video.framesDeclared ?? 'none'} declared`),
    row(
      'bit depth',
      `${bitDepth.declared} declared, ${bitDepth.effective === null ? 'effective depth not known' : `${bitDepth.effective} effective (${bitDepth.confidence} confidence)`}`,
    ),
    row(
      'chroma',
      `${chroma.declared ?? 'not declared'}${chroma.effective === null ? '' : `, ${chroma.effective} effective (${chroma.confidence} confidence)`}`,
    ),
    row(
      'colour',
      `${colour.transfer ?? '?'} / ${colour.primaries ?? '?'} / ${colour.matrix ?? '?'}, ${colour.range ?? 'range not tagged'}`,
    ),
  ];
  if (levels !== null) {
    for (const [label, extremes] of [
      ["Y'", levels.luma],
      ["R'G'B'", levels.rgb],
    ] as const) {
      if (extremes !== null) {
        rows.push(
          row(
            label,
            `${code(extremes.min)} to ${code(extremes.max)} (${extremes.percentMin.toFixed(1)} to ${extremes.percentMax.toFixed(1)} %)`,
          ),
        );
      }
    }
    const { worstArea, worstFrame, framesOver } = levels.gamutError;
    rows.push(
      row(
        'EBU R 103',
        worstFrame === null
          ? 'nothing outside the tolerance'
          : `at most ${fractionText(worstArea)} of the area outside, frame ${worstFrame}; ${plural(framesOver, 'frame')} over 1 %`,
      ),
    );
    if (levels.reservedCodes.samples > 0)
      rows.push(row('SDI codes', `${plural(levels.reservedCodes.samples, 'sample')} at reserved codes`));
    if (levels.looksFullRange !== null)
      rows.push(row('looks like', levels.looksFullRange ? 'full range' : 'narrow range'));
  }
  if (luminance !== null) {
    const { declared } = luminance;
    rows.push(
      row(
        'MaxCLL',
        `${luminance.maxCll.toFixed(1)} cd/m2 (frame ${luminance.maxCllFrame})${declared.maxCll === null ? '' : `, declared ${declared.maxCll}`}`,
      ),
      row(
        'MaxFALL',
        `${luminance.maxFall.toFixed(1)} cd/m2 (frame ${luminance.maxFallFrame})${declared.maxFall === null ? '' : `, declared ${declared.maxFall}`}`,
      ),
      row(
        '99.99 percentile',
        `${luminance.p9999.toFixed(1)} cd/m2${luminance.displayPeak === null ? '' : ` on a ${luminance.displayPeak} cd/m2 display`}`,
      ),
    );
    if (declared.masteringMax !== null)
      rows.push(
        row('mastering', `${declared.masteringMin ?? 'unknown'} to ${declared.masteringMax} cd/m2 declared`),
      );
    if (luminance.outsideP3 !== null)
      rows.push(row('outside P3', fractionText(luminance.outsideP3.worstArea)));
  }
  if (exposure !== null) {
    rows.push(
      row(
        'exposure',
        `median ${exposure.medianStops >= 0 ? '+' : ''}${exposure.medianStops.toFixed(1)} stops from 18 % grey, ${fractionText(exposure.clippedArea)} clipped, ${fractionText(exposure.noiseFloorArea)} in the noise`,
      ),
    );
  }
  return rows;
}

function soundRows(measured: Measurement): string[] {
  if (measured.audio.length === 0) return [row('sound', 'none')];
  return measured.audio.flatMap((sound) => [
    row(
      `sound ${sound.stream}`,
      `${sound.codec}, ${sound.layout ?? plural(sound.channels, 'channel')}, ${sound.sampleRate} Hz`,
    ),
    row(
      '  loudness',
      `${number(sound.integratedLufs, 1, 'LUFS')} integrated, range ${number(sound.loudnessRange, 1, 'LU')} (BS.1770-5, Tech 3342)`,
    ),
    row(
      '  true peak',
      `${number(sound.truePeakDbtp, 1, 'dBTP')}, sample peak ${number(sound.samplePeakDbfs, 1, 'dBFS')}`,
    ),
  ]);
}

/** A measurement for a person, one figure a row. */
export function measurementText(measured: Measurement): string {
  const { container, decode, events, unmeasured } = measured;
  return [
    row('file', `${measured.file.path}, ${formatBytes(measured.file.bytes)}`),
    row(
      'container',
      `${container.format}${container.startTimecode === null ? '' : `, starts at ${container.startTimecode}`}${container.reel === null ? '' : `, reel ${container.reel}`}`,
    ),
    ...pictureRows(measured),
    ...soundRows(measured),
    row(
      'decoding',
      decode.errors === 0 && !decode.truncated
        ? 'no errors'
        : `${plural(decode.errors, 'error')}${decode.truncated ? ', TRUNCATED' : ''}`,
    ),
    ...decode.messages.slice(0, 5).map((message) => row('', message)),
    ...events
      .slice(0, 20)
      .map((event) =>
        row(
          event.kind,
          `${event.fromTimecode ?? `frame ${event.from}`}, ${plural(event.to - event.from, 'frame')}: ${event.detail}`,
        ),
      ),
    ...unmeasured.map(({ what, why }) => row('not measured', `${what}: ${why}`)),
  ].join('\n');
}
