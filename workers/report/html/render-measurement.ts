import type { Measurement } from '../../../jobs/measurement.js';
import { bytes, duration, fixed, NOTHING, percentOf, place, plural } from './figures.js';
import { type Html, type HtmlPart, html, name } from './markup.js';

/** Everything measured of one file, and everything that could not be. Figures only, no opinion. */
export function renderMeasurement(measured: Measurement): Html {
  const groups = [
    group('File', fileRows(measured)),
    group('Picture', pictureRows(measured)),
    group('Levels', levelRows(measured)),
    group('Light', lightRows(measured)),
    group('Exposure', exposureRows(measured)),
    ...measured.audio.map((_, index) => group(`Sound, stream ${index + 1}`, soundRows(measured, index))),
    group('Decoding', decodeRows(measured)),
  ];
  return html`<div class="scroll"><table class="figures">${groups}</table></div>${notMeasured(measured)}${eventTable(measured)}`;
}

type Row = readonly [label: string, value: HtmlPart];

function group(title: string, rows: readonly Row[]): HtmlPart {
  if (rows.length === 0) return null;
  return html`<tbody><tr><th scope="rowgroup" colspan="2" class="group">${title}</th></tr>${rows.map(
    ([label, value]) => html`<tr><th scope="row">${label}</th><td>${value}</td></tr>`,
  )}</tbody>`;
}

function orNothing(value: string | null): HtmlPart {
  return value === null ? NOTHING : name(value);
}

function fileRows({ file, container }: Measurement): Row[] {
  return [
    ['Size', bytes(file.bytes)],
    ['Container', name(container.format)],
    ['Duration', duration(container.durationSeconds)],
    ['Start timecode', orNothing(container.startTimecode)],
    ['Reel', orNothing(container.reel)],
  ];
}

function pictureRows({ video }: Measurement): Row[] {
  if (video === null) return [];
  const { bitDepth, chroma, colour } = video;
  const sure = (confidence: 'high' | 'low') => (confidence === 'low' ? ' (low confidence)' : '');
  return [
    ['Codec', name([video.codec, video.profile].filter(Boolean).join(', '))],
    ['Raster', `${video.width} × ${video.height}, sample aspect ${video.sampleAspect ?? 'not declared'}`],
    [
      'Frame rate',
      `${video.frameRate ?? 'unknown'}${video.constantRate === null ? ', constancy unknown' : video.constantRate ? ', constant' : ', variable'}`,
    ],
    ['Scan (declared)', video.scan ?? 'not declared'],
    ['Frames', `${video.frames} decoded, ${video.framesDeclared ?? 'none'} declared`],
    [
      'Bit depth',
      `${bitDepth.declared} declared, ${bitDepth.effective ?? 'unknown'} in the samples${sure(bitDepth.confidence)}`,
    ],
    [
      'Chroma',
      `${chroma.declared ?? 'not'} declared, ${chroma.effective ?? 'unknown'} in the samples${sure(chroma.confidence)}`,
    ],
    ['Primaries', colour.primaries === null ? 'not declared' : name(colour.primaries)],
    ['Transfer', colour.transfer === null ? 'not declared' : name(colour.transfer)],
    ['Matrix', colour.matrix === null ? 'not declared' : name(colour.matrix)],
    ['Range', colour.range ?? 'not declared'],
    ...(video.rotation === 0 ? [] : [['Rotation', `${video.rotation}° clockwise`] as const]),
  ];
}

function levelRows({ levels }: Measurement): Row[] {
  if (levels === null) return [];
  const { luma, rgb, gamutError, reservedCodes } = levels;
  const span = (extremes: typeof luma) =>
    extremes === null
      ? NOTHING
      : `code ${extremes.min} to ${extremes.max}, ${fixed(extremes.percentMin, 1)} to ${fixed(extremes.percentMax, 1, '%')}`;
  return [
    ['Luma', span(luma)],
    ["R'G'B'", span(rgb)],
    [
      'Outside EBU R 103',
      gamutError.worstFrame === null
        ? 'no frame'
        : `worst frame ${gamutError.worstFrame} with ${percentOf(gamutError.worstArea)} of the picture; ${plural(gamutError.framesOver, 'frame')} over 1 %`,
    ],
    [
      'SDI reserved codes',
      reservedCodes.samples === 0
        ? 'none'
        : `${plural(reservedCodes.samples, 'sample')}, first in frame ${reservedCodes.firstFrame ?? NOTHING}`,
    ],
    [
      'Range the picture looks like',
      levels.looksFullRange === null ? 'too little tone to tell' : levels.looksFullRange ? 'full' : 'narrow',
    ],
  ];
}

function lightRows({ luminance }: Measurement): Row[] {
  if (luminance === null) return [];
  const { declared, outsideP3 } = luminance;
  const against = (value: number | null) =>
    value === null ? 'not declared' : `declared ${fixed(value, 0, 'cd/m²')}`;
  return [
    [
      'MaxCLL',
      `${fixed(luminance.maxCll, 1, 'cd/m²')} in frame ${luminance.maxCllFrame}; ${against(declared.maxCll)}`,
    ],
    [
      'MaxFALL',
      `${fixed(luminance.maxFall, 1, 'cd/m²')} in frame ${luminance.maxFallFrame}; ${against(declared.maxFall)}`,
    ],
    ['99.99 percentile', fixed(luminance.p9999, 1, 'cd/m²')],
    [
      'Mastering display',
      `${fixed(declared.masteringMin, 4)} to ${fixed(declared.masteringMax, 0, 'cd/m²')} declared`,
    ],
    ...(luminance.displayPeak === null
      ? []
      : [
          [
            'Shown on',
            `a ${fixed(luminance.displayPeak, 0, 'cd/m²')} reference display (HLG is relative)`,
          ] as const,
        ]),
    ...(outsideP3 === null
      ? []
      : [['Outside P3-D65', `${percentOf(outsideP3.worstArea)} in the worst frame`] as const]),
  ];
}

function exposureRows({ exposure }: Measurement): Row[] {
  if (exposure === null) return [];
  return [
    ['Median', `${fixed(exposure.medianStops, 2, 'stops')} from 18 % grey`],
    ['Clipped', `${percentOf(exposure.clippedArea)} of the picture`],
    ['In the noise floor', `${percentOf(exposure.noiseFloorArea)} of the picture`],
  ];
}

function soundRows({ audio }: Measurement, index: number): Row[] {
  const sound = audio[index];
  if (sound === undefined) return [];
  const depth = sound.bitDepth === null ? '' : `, ${sound.bitDepth} bits`;
  return [
    [
      'Format',
      name(
        `${sound.codec}, ${sound.layout ?? plural(sound.channels, 'channel')}, ${sound.sampleRate} Hz${depth}`,
      ),
    ],
    ['Duration', duration(sound.durationSeconds)],
    ['Programme loudness', fixed(sound.integratedLufs, 1, 'LUFS')],
    ['Loudness range', fixed(sound.loudnessRange, 1, 'LU')],
    ['Maximum momentary', fixed(sound.maxMomentaryLufs, 1, 'LUFS')],
    ['Maximum short-term', fixed(sound.maxShortTermLufs, 1, 'LUFS')],
    ['True peak', fixed(sound.truePeakDbtp, 1, 'dBTP')],
    ['Sample peak', fixed(sound.samplePeakDbfs, 1, 'dBFS')],
  ];
}

/** Decoder messages shown; a broken file can give thousands. */
const MESSAGES = 8;

function decodeRows({ decode }: Measurement): Row[] {
  const shown = decode.messages.slice(0, MESSAGES);
  return [
    ['Errors', decode.errors === 0 ? 'none' : String(decode.errors)],
    ['Truncated', decode.truncated ? 'yes' : 'no'],
    ...(shown.length === 0
      ? []
      : [
          [
            'First messages',
            html`<ul class="log">${shown.map((line) => html`<li>${name(line)}</li>`)}</ul>`,
          ] as const,
        ]),
  ];
}

function notMeasured({ unmeasured }: Measurement): HtmlPart {
  if (unmeasured.length === 0) return null;
  return html`<p class="label">Not measured</p><ul>${unmeasured.map(
    ({ what, why }) => html`<li><b>${name(what)}</b>: ${name(why)}</li>`,
  )}</ul>`;
}

const EVENTS = 40;

function eventTable({ events }: Measurement): HtmlPart {
  if (events.length === 0) return null;
  const rest = events.length - EVENTS;
  return html`<p class="label">Events in the file</p><div class="scroll"><table>
<thead><tr><th scope="col">Kind</th><th scope="col">Where</th><th scope="col">Detail</th></tr></thead>
<tbody>${events
    .slice(0, EVENTS)
    .map(
      (event) =>
        html`<tr><th scope="row">${name(event.kind)}</th><td>${place(event)}</td><td>${name(event.detail)}</td></tr>`,
    )}</tbody>
</table></div>${rest > 0 && html`<p>and ${plural(rest, 'more event')}, all in the measurement file</p>`}`;
}
