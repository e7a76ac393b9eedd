import type { MeasuredEffective } from '../../../../jobs/measurement/measured-effective.js';
import { type Change, there } from '../measured.js';

export const effective = (raster: Partial<MeasuredEffective['raster']> = {}, chroma: object = {}): Change => {
  return (m) => {
    m.effective = { raster: { width: 1920, height: 1080, confidence: 'high', ...raster } };
    Object.assign(there(m.video, 'picture').chroma, chroma);
  };
};
