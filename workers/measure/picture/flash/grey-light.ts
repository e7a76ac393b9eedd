import type { PicturePlan } from '../plan/picture-plan.js';
import type { FlashDisplay } from './display-model.js';

/** Luminance of grey of each code, cd/m2. */
export function greyOfCode({ scale }: PicturePlan, display: FlashDisplay): Float64Array {
  const steps = 2 ** scale.shift;
  return Float64Array.from({ length: scale.topCode + 1 }, (_, code) => {
    const signal = (code * steps - scale.black) / (scale.white - scale.black);
    const light = display.light(Math.min(Math.max(signal, 0), display.topSignal));
    return display.gamma === null ? light : display.peak * light ** display.gamma;
  });
}
