import { bakeRendering, bakeSingleCube } from '../../signal/lut/bake.js';
import type { LutError } from '../../signal/lut/lut-error.js';
import { makeRendering } from '../../signal/rendering/make-rendering.js';
import type { RenderingColour } from '../../signal/rendering/rendering-colour.js';

const FROM: RenderingColour = { transfer: 'S-Log3', primaries: 'S-Gamut3.Cine', range: 'narrow' };
const TARGETS: readonly RenderingColour[] = [
  { transfer: 'bt709', primaries: 'bt709', range: 'narrow' },
  { transfer: 'smpte2084', primaries: 'bt2020', range: 'narrow' },
  { transfer: 'arib-std-b67', primaries: 'bt2020', range: 'narrow' },
];
const SIZES = [17, 33, 65] as const;

/**
 * Error of the tables against double precision, in 10-bit codes, over a grey ramp and 8,192 random colours:
 * the chain of steps with the cube size it chooses, the same chain with 17, 33 and 65 points, and one cube
 * alone of those sizes. The end-to-end figure through ffmpeg is held by
 * tests/standards/rendering-end-to-end.test.ts.
 */
export function lutAccuracyLines(): string[] {
  const lines = [row('S-Log3/S-Gamut3.Cine to', 'tables', 'mean', '99.9 %', 'worst')];
  for (const to of TARGETS) {
    const name = `${to.transfer}/${to.primaries}`;
    const rendering = makeRendering({ from: FROM, to });
    const hasCube = rendering.steps.some((step) => step.kind === 'mix');
    const chosen = bakeRendering(rendering);
    const largest = Math.max(...chosen.steps.map((step) => (step.kind === 'lut3d' ? step.table.size : 0)));
    lines.push(
      figures(name, hasCube ? `chosen: steps, cube ${largest}` : 'chosen: steps, no cube', chosen.error),
    );
    for (const size of SIZES) {
      if (hasCube) lines.push(figures(name, `steps, cube ${size}`, bakeRendering(rendering, size).error));
    }
    for (const size of SIZES)
      lines.push(figures(name, `one cube ${size}`, bakeSingleCube(rendering, size).error));
  }
  return lines;
}

function figures(to: string, tables: string, { mean, p999, worst }: LutError): string {
  return row(to, tables, mean.toFixed(3), p999.toFixed(3), worst.toFixed(3));
}

function row(to: string, tables: string, ...numbers: readonly string[]): string {
  return `${to.padEnd(24)}${tables.padEnd(24)}${numbers.map((number) => number.padStart(9)).join('')}`;
}
