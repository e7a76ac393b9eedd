import { expect, it } from 'vitest';
import { HANN, WINDOW, windowedTransform } from '../../../../../workers/measure/picture/effective/fft64.js';
import { random } from '../fields/moving-picture.js';

it('is the discrete Fourier transform of the windowed samples, by its definition', () => {
  const next = random(9);
  const re = Float64Array.from({ length: WINDOW }, () => 1000 * next());
  const im = Float64Array.from({ length: WINDOW }, () => 1000 * next());
  const expected = Array.from({ length: WINDOW }, (_, k) => {
    let a = 0;
    let b = 0;
    for (let n = 0; n < WINDOW; n++) {
      // Hann's window, centred between the 32nd and the 33rd sample.
      const weight = 0.5 - 0.5 * Math.cos((2 * Math.PI * (n + 0.5)) / WINDOW);
      const angle = (-2 * Math.PI * k * n) / WINDOW;
      const [x, y] = [weight * (re[n] ?? 0), weight * (im[n] ?? 0)];
      a += x * Math.cos(angle) - y * Math.sin(angle);
      b += x * Math.sin(angle) + y * Math.cos(angle);
    }
    return [a, b] as const;
  });
  windowedTransform(re, im);
  expected.forEach(([a, b], k) => {
    expect(re[k]).toBeCloseTo(a, 6);
    expect(im[k]).toBeCloseTo(b, 6);
  });
});

it('the squares of the window sum to three eighths of its length', () => {
  expect(HANN.reduce((sum, weight) => sum + weight ** 2, 0)).toBeCloseTo((3 / 8) * WINDOW, 9);
});
