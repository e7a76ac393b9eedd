import type { Command } from 'commander';
import { GoodgateError } from '../../jobs/errors.js';
import { parseScale } from '../../jobs/manifest/colour-words.js';
import { fixed, signed, significant } from '../../jobs/words/numbers.js';
import { CREW_SUBJECTS, crewCard } from '../../signal/levels/crew-card.js';
import { LEVEL_FORMS, parseLevel } from '../../signal/levels/parse-level.js';
import { rulesOfThumb } from '../../signal/levels/rules-of-thumb.js';
import { type LevelOnScale, levelOnScale, SCALES, type ScaleName } from '../../signal/levels/scale.js';
import { byName, shownName } from '../../signal/named.js';
import { print, printJson } from '../print.js';

interface LevelsOptions {
  readonly from?: string;
  readonly to?: string;
  readonly json?: boolean;
}

export function register(program: Command): void {
  program
    .command('levels')
    .description("show one level on every scale; without --to also the levels of a crew's card")
    .argument('[value]', `a level: ${LEVEL_FORMS}`)
    .option(
      '--from <scale>',
      'the scale of the value: a transfer function such as S-Log3 or PQ, or reflectance',
    )
    .option('--to <scale>', 'the one scale to show')
    .option('--json', 'print an array of levels, null where a figure has no meaning')
    // A negative level is a value, not an option.
    .allowUnknownOption()
    .action((value: string | undefined, options: LevelsOptions) => {
      const scales =
        options.to === undefined ? SCALES.map(({ name }) => name) : [scaleOption('--to', options.to)];
      const reflectance = value === undefined ? null : lightOf(value, options.from);
      if (options.json) {
        printJson(
          reflectance === null ? crewCard() : scales.map((scale) => levelOnScale(scale, reflectance)),
        );
        return;
      }
      if (reflectance !== null) print(levelTable(scales.map((scale) => levelOnScale(scale, reflectance))));
      if (options.to === undefined) print(`${reflectance === null ? '' : '\n'}${cardText()}`);
    });
}

function scaleOption(name: string, text: string): ScaleName {
  return asked(name, () => parseScale(text));
}

function lightOf(value: string, from: string | undefined): number {
  const scale = from === undefined ? null : scaleOption('--from', from);
  return asked(value, () => parseLevel(value, scale));
}

function asked<T>(where: string, read: () => T): T {
  try {
    return read();
  } catch (error) {
    if (!(error instanceof RangeError)) throw error;
    throw new GoodgateError('bad-option', {
      what: error.message,
      where,
      next: `write a level as ${LEVEL_FORMS}`,
    });
  }
}

const scaleOf = byName(SCALES);

/** At most 80 columns. */
function levelTable(levels: readonly LevelOnScale[]): string {
  const rows = [
    ['scale', '8 bit', '10 bit', '12 bit', '%', 'cd/m2', 'reflect. %', 'stops'],
    ...levels.map((level) => [
      shownName(scaleOf(level.scale)),
      cell(level.code8, (value) => fixed(value, 0)),
      cell(level.code10, (value) => fixed(value, 0)),
      cell(level.code12, (value) => fixed(value, 0)),
      cell(level.percent, (value) => fixed(value, 1)),
      cell(level.nits, asMetered),
      cell(level.reflectance, (value) => asMetered(value * 100)),
      cell(level.stops, (value) => signed(value, 2)),
    ]),
  ];
  return rows.map((row) => line(row, [24, 6, 7, 7, 8, 9, 11, 8])).join('\n');
}

function cardText(): string {
  const widths = [23, 6, 6, 7, 6, 6, 7, 6, 6, 7];
  const subjects = CREW_SUBJECTS.map(({ name, reflectance }) =>
    `${name}${name.includes('%') ? '' : ` (${reflectance * 100} %)`}`.padStart(19),
  );
  return [
    "Where a crew's card sits: % of narrow range, 10-bit code, light on the display",
    `${' '.repeat(23)}${subjects.join('')}`,
    line(['scale', ...CREW_SUBJECTS.flatMap(() => ['%', 'code', 'cd/m2'])], widths),
    ...crewCard()
      .filter(({ scale }) => scale !== 'reflectance')
      .map(({ scale, levels }) =>
        line(
          [
            shownName(scaleOf(scale)),
            ...levels.flatMap((level) => [
              cell(level.percent, (value) => fixed(value, 1)),
              cell(level.code10, (value) => fixed(value, 0)),
              cell(level.nits, asMetered),
            ]),
          ],
          widths,
        ),
      ),
    '',
    'HLG and PQ by BT.2408 (reference white 203 cd/m2, HLG display 1,000 cd/m2);',
    'SDR on a display of 100 cd/m2 (sRGB 80). Curves only: highlights not rolled off.',
    '',
    'Rules of thumb (common practice, no source) beside the formula:',
    ...rulesOfThumb().map(
      ({ rule, figure: value, unit, formula, agrees }) =>
        `  ${agrees ? 'agrees ' : 'DIFFERS'} ${rule}\n          ${fixed(value, 1)} ${unit}: ${formula}`,
    ),
  ].join('\n');
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
