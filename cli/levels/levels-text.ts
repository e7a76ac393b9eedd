import { fixed, signed, significant } from '../../jobs/words/numbers.js';
import { wrap } from '../../jobs/words/plain-text.js';
import { GAMUTS } from '../../signal/gamut/gamuts.js';
import { CREW_SUBJECTS, crewCard } from '../../signal/levels/crew-card.js';
import type { ReadLevel } from '../../signal/levels/parse-level.js';
import { rulesOfThumb } from '../../signal/levels/rules-of-thumb.js';
import { type LevelOnScale, levelOnScale, SCALES, type ScaleName } from '../../signal/levels/scale.js';
import { byName, type Named, shownName } from '../../signal/named.js';
import { TRANSFER_FUNCTIONS } from '../../signal/transfer/transfer-functions.js';
import { MATRICES } from '../../signal/ycbcr.js';

const WIDTH = 80;
const scaleOf = byName(SCALES);

/**
 * One level as a person asked for it: what it was taken for, the light it stands for, and where that lies on
 * each scale. At most 80 columns.
 */
export function levelText(value: string, read: ReadLevel, scales: readonly ScaleName[]): string {
  const { reflectance } = read;
  const levels = scales
    .filter((name) => name !== 'reflectance')
    .map((name) => levelOnScale(name, reflectance));
  const { stops } = levelOnScale('reflectance', reflectance);
  const on = read.scale === null ? '' : ` on ${shownName(scaleOf(read.scale))}`;
  const light = `light of the scene: ${asMetered(reflectance * 100)} % reflectance`;
  return [
    ...wrap(`${value}${on} was read as ${read.readAs}`, WIDTH),
    `${light}, ${stops === null ? 'which is none' : `${signed(stops, 2)} stops from 18 % grey`}`,
    ...(levels.length === 0 ? [] : ['', ...levelTable(levels)]),
  ].join('\n');
}

function levelTable(levels: readonly LevelOnScale[]): string[] {
  const rows = levels.map((level) => ({
    scale: level.scale,
    cells: [
      cell(level.code8, (value) => fixed(value, 0)),
      cell(level.code10, (value) => fixed(value, 0)),
      cell(level.code12, (value) => fixed(value, 0)),
      cell(level.percent, (value) => fixed(value, 1)),
      cell(level.nits, asMetered),
    ],
  }));
  return table(['scale', '8 bit', '10 bit', '12 bit', '%', 'cd/m2'], rows, [26, 7, 8, 8, 8, 9]);
}

/**
 * The card of a crew: grey, skin and white on every scale, and what crews say beside what the formulas give.
 */
export function cardText(): string {
  const widths = [23, 6, 6, 7, 6, 6, 7, 6, 6, 7];
  const subjects = CREW_SUBJECTS.map(({ name, reflectance }) =>
    `${name}${name.includes('%') ? '' : ` (${reflectance * 100} %)`}`.padStart(19),
  );
  const rows = crewCard()
    .filter(({ scale }) => scale !== 'reflectance')
    .map(({ scale, levels }) => ({
      scale,
      cells: levels.flatMap((level) => [
        cell(level.percent, (value) => fixed(value, 1)),
        cell(level.code10, (value) => fixed(value, 0)),
        cell(level.nits, asMetered),
      ]),
    }));
  const heads = ['scale', ...CREW_SUBJECTS.flatMap(() => ['%', 'code', 'cd/m2'])];
  return [
    "Where a crew's card sits: % of narrow range, 10-bit code, light on the display",
    `${' '.repeat(23)}${subjects.join('')}`,
    ...table(heads, rows, widths),
    '',
    'HLG and PQ by BT.2408 (reference white 203 cd/m2, HLG display 1,000 cd/m2);',
    'SDR on a display of 100 cd/m2 (sRGB 80). Curves only: highlights not rolled off.',
    ...wrap(srgbNote(), WIDTH),
    '',
    'Rules of thumb (common practice, no source) beside the formula:',
    ...rulesOfThumb().flatMap(({ rule, figure: value, unit, formula, agrees, card }) => [
      `  ${agrees ? 'agrees ' : 'DIFFERS'} ${rule}`,
      ...indented(`${fixed(value, 1)} ${unit}: ${formula}`, 10),
      ...(card === null ? [] : indented(card, 10)),
    ]),
  ].join('\n');
}

/** Why the row of sRGB differs from that of Rec.709, which shows the same picture. */
function srgbNote(): string {
  const [{ reflectance }] = CREW_SUBJECTS;
  const on = (scale: ScaleName): string =>
    cell(levelOnScale(scale, reflectance).percent, (value) => fixed(value, 1));
  return `The sRGB row is the picture of the Rec.709 row, the same share of the display's white, by the curve of IEC 61966-2-1 (a straight foot, then a power of 2.4 set off by it) instead of the pure power 2.4 of BT.1886: ${on('iec61966-2-1')} for ${on('bt709')} %.`;
}

/** Every name a colour is written with, the words of the trade beside it. */
export function namesText(): string {
  const group = (title: string, all: readonly Named[]): string[] => [
    title,
    ...all.flatMap(({ name, aliases }) => {
      const [first = '', ...rest] = wrap(aliases.join(', '), WIDTH - 18);
      return [`  ${name.padEnd(16)}${first}`.trimEnd(), ...rest.map((line) => ' '.repeat(18) + line)];
    }),
  ];
  return [
    ...wrap('A colour is TRANSFER/PRIMARIES, or a transfer function alone for its usual primaries.', WIDTH),
    'Any spelling will do: S-Log3, slog3 and "S Log 3" are one word.',
    '',
    ...group('Transfer functions, which are also the scales of a level', TRANSFER_FUNCTIONS),
    ...group('Primaries', GAMUTS),
    ...group("Matrices of Y'CbCr, where a third part is written", MATRICES),
  ].join('\n');
}

/** What tells curves apart: at black alone many have the same figures. */
function curveOf(scale: ScaleName): string {
  const levels = CREW_SUBJECTS.map(({ reflectance }) => levelOnScale(scale, reflectance));
  return levels.map(({ code10, nits }) => `${code10} ${nits?.toFixed(1)}`).join(' ');
}

/** Scales that are one curve and share all figures of a row have one row; a line below names the others. */
function table(
  heads: readonly string[],
  rows: readonly { readonly scale: ScaleName; readonly cells: readonly string[] }[],
  widths: readonly number[],
): string[] {
  const alike = new Map<string, typeof rows>();
  for (const row of rows) {
    const figures = [curveOf(row.scale), ...row.cells].join(' ');
    alike.set(figures, [...(alike.get(figures) ?? []), row]);
  }
  const lines = [line(heads, widths)];
  const notes: string[] = [];
  for (const [first, ...others] of alike.values()) {
    if (first === undefined) continue;
    const name = shownName(scaleOf(first.scale));
    lines.push(line([others.length === 0 ? name : `${name} *`, ...first.cells], widths));
    if (others.length === 0) continue;
    const same = others.map(({ scale }) => shownName(scaleOf(scale)));
    notes.push(...wrap(`* ${name}, and the same figures on ${same.join(', ')}`, WIDTH));
  }
  return [...lines, ...notes];
}

function indented(text: string, by: number): string[] {
  return wrap(text, WIDTH - by).map((line) => ' '.repeat(by) + line);
}

function line(cells: readonly string[], widths: readonly number[]): string {
  return cells
    .map((cell, i) => (i === 0 ? cell.padEnd(widths[i] ?? 0) : cell.padStart(widths[i] ?? 0)))
    .join('')
    .trimEnd();
}

/** A cell; a figure that has no meaning on a scale is a dash. */
function cell(value: number | null, text: (value: number) => string): string {
  return value === null ? '-' : text(value);
}

/** Three figures are what a meter shows. */
function asMetered(value: number): string {
  return Math.abs(value) >= 100 ? fixed(value, 0) : significant(value, 3);
}
