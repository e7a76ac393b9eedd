import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { frameClock } from '../../../../../workers/measure/figures/frame-ranges.js';
import { flashFigures } from '../../../../../workers/measure/picture/flash/flash-figures.js';
import { FLASH_COLUMNS } from '../../../../../workers/measure/picture/flash/flash-study.js';
import {
  columnsOf,
  type Film,
  flat,
  GREY,
  ofCells,
  planOf,
  pulses,
  RGB,
  SDR,
  screened,
  studyOf,
} from './flash-films.js';

const BLACK = [64];

/**
 * Numbers in 0..1 that look like chance; a property's own draws lean to 0 and 1, of which no film of interest
 * comes.
 */
function evenNumbers(seed: number): () => number {
  let state = seed % 2 ** 31;
  return () => {
    state = (state * 1_103_515_245 + 12_345) % 2 ** 31;
    return state / 2 ** 31;
  };
}
const WHITE = [940];

describe('parts of a file', () => {
  /**
   * Cells of all kinds: flickering, or swinging slowly, at their own rate, phase and height; red some of
   * them.
   */
  const wildFilm = (random: () => number, frames: number, rate: string): Film => {
    const shape = { ...RGB, width: 32, height: 16 };
    const cells = Array.from({ length: 8 }, () => ({
      period: 2 + Math.floor(random() * 40),
      phase: random() * 40,
      isSquare: random() < 0.3,
      middle: 300 + random() * 500,
      height: random() * 300,
      red: random() < 0.5,
    }));
    const codesOf = (frame: number) => (index: number) => {
      const cell = cells[index];
      if (cell === undefined) throw new Error('a cell too many');
      const wave = Math.sin((2 * Math.PI * (frame + cell.phase)) / cell.period);
      const code = cell.middle + cell.height * (cell.isSquare ? Math.sign(wave) : wave);
      const held = Math.round(Math.min(Math.max(code, 0), 1023));
      return cell.red ? [0, 0, held] : [held, held, held];
    };
    return { shape, rate, frames: Array.from({ length: frames }, (_, n) => ofCells(shape, codesOf(n))) };
  };

  it('give the columns of the whole, wherever it is cut', () => {
    fc.assert(
      fc.property(fc.nat(), fc.integer({ min: 1, max: 69 }), (seed, seam) => {
        const film = wildFilm(evenNumbers(seed), 70, '8/1');
        const whole = columnsOf(film);
        const first = columnsOf(film, 0, seam);
        const second = columnsOf(film, seam, 70, studyOf(film).memory);
        for (const name of FLASH_COLUMNS) {
          expect([...first[name], ...second[name]]).toEqual([...whole[name]]);
        }
      }),
      { numRuns: 12 },
    );
  });

  it('differ when a part is shown fewer frames before its first than the study remembers', () => {
    // A slow triangle: changes are complete long after they began, so that a late tracker takes them for
    // later ones.
    const frames = Array.from({ length: 48 }, (_, n) => flat(GREY, [400 + 20 * Math.abs((n % 14) - 7)]));
    const film: Film = { shape: GREY, rate: '8/1', frames };
    expect(studyOf(film).memory).toBe(24);
    const whole = columnsOf(film);
    const seams = Array.from({ length: 12 }, (_, i) => 30 + i);
    const agree = (seam: number, warmUp: number): boolean =>
      columnsOf(film, seam, 48, warmUp).flashChanges.every((n, i) => n === whole.flashChanges[seam + i]);
    expect(seams.every((seam) => agree(seam, 24))).toBe(true);
    expect(seams.every((seam) => agree(seam, 8))).toBe(false);
  });
});

describe('the screen as a whole', () => {
  const trains = (on: (cell: number, frame: number) => boolean, frames = 75): Film => ({
    shape: GREY,
    rate: '25/1',
    frames: Array.from({ length: frames }, (_, n) => ofCells(GREY, (cell) => (on(cell, n) ? WHITE : BLACK))),
  });
  const failing = (film: Film): boolean => screened(film).flashes.general.ranges.length > 0;
  const flashesOf = (film: Film): number => screened(film).flashes.general.worstSecond?.flashes ?? 0;

  it('flashes when two parts of 20 % each do so in turn', () => {
    const film = trains((cell, n) => (cell < 8 ? n % 4 < 2 : cell < 16 ? n % 4 >= 2 : false));
    expect(failing(film)).toBe(true);
    // A change every two frames: 12 or 13 in 25 frames.
    expect(flashesOf(film)).toBe(6.5);
  });
  it('does not when they are 10 % each', () => {
    expect(failing(trains((cell, n) => (cell < 4 ? n % 4 < 2 : cell < 8 ? n % 4 >= 2 : false)))).toBe(false);
  });
  it('flashes when every flash is somewhere else', () => {
    // Cells 0-11, 12-23, 24-35, 0-11 in turn: 30 % each, and no cell flashes four times.
    const film = trains(
      (cell, n) => n >= 30 && n < 50 && n % 5 < 2 && Math.floor(cell / 12) === ((n / 5 - 6) % 3) >> 0,
    );
    expect(failing(film)).toBe(true);
    expect(flashesOf(film)).toBe(4);
  });
  it('counts what two halves do against each other once', () => {
    // Halves change places at frames 30, 36, 42, 48: four changes are two flashes.
    expect(
      flashesOf(trains((cell, n) => n >= 30 && n < 54 && Math.floor(n / 6) % 2 === (cell < 20 ? 1 : 0))),
    ).toBe(2);
  });
  it('flashes when the light takes two frames to come and to go', () => {
    const level = (n: number): number => [64, 500, 940, 500][n % 4] ?? 64;
    const film: Film = {
      shape: GREY,
      rate: '25/1',
      frames: Array.from({ length: 60 }, (_, n) => flat(GREY, [level(n)])),
    };
    expect(failing(film)).toBe(true);
    expect(flashesOf(film)).toBe(6.5);
  });
  it('flashes when half of it is a frame behind the other', () => {
    // 20 % and 20 %, a frame apart: neither is a quarter, together they are.
    const film = trains((cell, n) => (cell < 8 ? n % 6 < 3 : cell < 16 ? (n + 5) % 6 < 3 : false));
    expect(failing(film)).toBe(true);
  });
  it('does not flash when it only gets brighter', () => {
    const film: Film = {
      shape: GREY,
      rate: '25/1',
      frames: Array.from({ length: 60 }, (_, n) => flat(GREY, [64 + 14 * n])),
    };
    expect(flashesOf(film)).toBe(0.5);
  });
  it('does not flash by flickering below 20 cd/m2', () => {
    // 64 to 390 is 0 to 18.6 cd/m2.
    const film = pulses(
      GREY,
      '25/1',
      { leads: [5, 10, 15, 20, 25, 30, 35], width: 2, frames: 60 },
      flat(GREY, BLACK),
      flat(GREY, [390]),
    );
    expect(screened(film).flashes).toMatchObject({
      general: { worstSecond: null, ranges: [] },
      fineDetail: [],
    });
  });
});

describe('detail finer than a cell', () => {
  it('is reported as unclear when it flickers and the cells cannot tell', () => {
    // A white line in four over the whole screen: 50 of 200 cd/m2 on the mean, but the mean code shows 7.
    const lines = [Array.from({ length: 64 * 40 }, (_, at) => (Math.floor(at / 64) % 4 === 0 ? 940 : 64))];
    const film = pulses(
      GREY,
      '25/1',
      { leads: [25, 30, 35, 40], width: 2, frames: 60 },
      flat(GREY, BLACK),
      lines,
    );
    const { flashes } = screened(film);
    expect(flashes.general.ranges).toEqual([]);
    expect(flashes.fineDetail.length).toBe(1);
  });
  it('is reported as unclear between light tones too, where a change of light is few codes', () => {
    // Single pixels of 111 and 200 cd/m2 that change places: 190 codes, where from black it takes 336.
    const checks = (parity: number): number[][] => [
      Array.from({ length: 64 * 40 }, (_, at) =>
        ((at % 64) + Math.floor(at / 64)) % 2 === parity ? 940 : 750,
      ),
    ];
    const film = pulses(
      GREY,
      '25/1',
      { leads: [25, 30, 35, 40], width: 2, frames: 60 },
      checks(0),
      checks(1),
    );
    const { flashes } = screened(film);
    expect(flashes.general.ranges).toEqual([]);
    expect(flashes.fineDetail.length).toBe(1);
  });
  it('is not reported when it stands still', () => {
    const lines = [Array.from({ length: 64 * 40 }, (_, at) => (Math.floor(at / 64) % 4 === 0 ? 940 : 64))];
    const film: Film = { shape: GREY, rate: '25/1', frames: Array.from({ length: 60 }, () => lines) };
    expect(screened(film).flashes.fineDetail).toEqual([]);
    // 0.25 x 200 less 200 x 0.25^2.4.
    expect(columnsOf(film).fineDetail[0]).toBeCloseTo(50 - 200 * 0.25 ** 2.4, 3);
  });
});

describe('flashing within the limits', () => {
  const twoHertz = (seconds: number): Film =>
    pulses(
      GREY,
      '25/1',
      {
        leads: Array.from({ length: 2 * seconds }, (_, i) => 25 + Math.ceil(12.5 * i)),
        width: 5,
        frames: 25 * (seconds + 3),
      },
      flat(GREY, BLACK),
      flat(GREY, WHITE),
    );
  it('is reported when it goes on for more than five seconds', () => {
    const { flashes } = screened(twoHertz(6));
    expect(flashes.general.ranges).toEqual([]);
    // From the end of the first flash, frame 30, to the end of the last: lead 25 + 138, and 5 frames on.
    expect(flashes.sustained).toMatchObject([{ from: 30, to: 169 }]);
  });
  it('is not reported when it ends sooner', () =>
    expect(screened(twoHertz(5)).flashes.sustained).toEqual([]));
});

describe('what is not judged', () => {
  const SECOND = { num: 25, den: 1 };
  const nothing = Object.fromEntries(FLASH_COLUMNS.map((name) => [name, new Float64Array(0)]));
  const frame = Object.fromEntries(FLASH_COLUMNS.map((name) => [name, new Float64Array(1)]));
  it.each<[string, Partial<typeof SDR>, { num: number; den: number } | null, typeof frame | null, RegExp]>([
    ['a camera log', { transfer: 'S-Log3', primaries: 'S-Gamut3.Cine' }, SECOND, frame, /scene light/],
    ['linear light', { transfer: 'linear' }, SECOND, frame, /defines no display/],
    ['an unknown rate', {}, null, frame, /rate is unknown/],
    ['a rate of no television', {}, { num: 1000, den: 1 }, frame, /frames a second/],
    ['no frames', {}, SECOND, nothing, /no picture/],
    ['no columns', {}, SECOND, null, /no picture/],
    ['a column too few', {}, SECOND, { ...frame, redUp: new Float64Array(0) }, /no picture/],
  ])('%s', (_, colour, rate, columns, why) => {
    const plan = planOf({ ...RGB, colour: { ...SDR, ...colour } });
    const figures = flashFigures(plan, rate, columns, frameClock(null, null));
    expect(figures.flashes).toBeNull();
    expect(figures.unmeasured).toEqual([{ what: 'flashes', why: expect.stringMatching(why) }]);
  });
});
