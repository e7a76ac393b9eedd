import { describe, expect, it } from 'vitest';
import { measurementText } from '../../cli/measurement-text.js';
import { FLASH_CAUTION } from '../../jobs/measurement/measured-flashes.js';
import { measured } from '../workers/judge/measured.js';
import { everything } from '../workers/report/measured-everything.js';

describe('a measurement on a terminal', () => {
  const hostile = '/m/ma\u001b[2Jster \u202efdp.mov';

  it('has no line over 80 columns but the name of the file, and no blank at an end', () => {
    for (const m of [measured(), everything(), measured((each) => each.events.push(...places(30)))]) {
      const [, ...lines] = measurementText(m).split('\n');
      for (const line of lines) {
        expect(line.length, line).toBeLessThanOrEqual(80);
        expect(line).toBe(line.trimEnd());
      }
    }
  });

  it('of a log clip begins with the advice on exposure, said once and as advice', () => {
    const m = everything();
    const { exposure } = m;
    if (exposure === null) throw new Error('everything holds no exposure');
    const told = measurementText(m).split('\n').slice(1).join(' ').replace(/\s+/g, ' ');
    expect(told.startsWith(`Exposure: ${exposure.advice} (advice, no verdict)`)).toBe(true);
    expect(told.split(exposure.advice)).toHaveLength(2);
    expect(measurementText({ ...m, exposure: null })).not.toContain('Exposure: ');
  });

  it('says no figure twice', () => {
    const rows = measurementText(everything()).split('\n').slice(1);
    const figures = rows.filter((line) => /^ {2}\S/.test(line));
    expect(new Set(figures).size).toBe(figures.length);
  });

  it('ends a long list of places with how many more there are', () => {
    const text = measurementText(measured((m) => m.events.push(...places(30))));
    expect(text.match(/^ {2}black /gm)).toHaveLength(20);
    expect(text).toContain('and 10 more places; --json has them all');
  });

  it('lets no name move the cursor', () => {
    const text = measurementText(
      measured((m) => {
        m.file.path = hostile;
        m.container.reel = '\u001b]0;x\u0007';
        m.decode.messages = ['\r\u001b[31m'];
        m.unmeasured = [{ what: '\u001b[1mx', why: '\u0007' }];
      }),
    );
    // biome-ignore lint/suspicious/noControlCharactersInRegex: control characters are what this is about
    expect(text.replaceAll('\n', '')).not.toMatch(/[\u0000-\u001f\u202e]/);
  });

  it('gives what was not measured with its reason', () => {
    const text = measurementText(
      measured((m) => m.unmeasured.push({ what: 'levels', why: 'float samples' })),
    );
    expect(text).toMatch(/\nNot measured\n {2}levels {14}float samples$/);
  });

  it('shows the caution beside every screening for flashes', () => {
    expect(measurementText(everything()).replace(/\s+/g, ' ')).toContain(FLASH_CAUTION);
  });
});

function places(count: number) {
  return Array.from({ length: count }, (_, i) => ({
    kind: 'black',
    detail: '1 frame',
    from: i * 2,
    to: i * 2 + 1,
    fromTimecode: null,
    toTimecode: null,
  }));
}
