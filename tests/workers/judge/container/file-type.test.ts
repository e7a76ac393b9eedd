import { none, noWrapper, wrapper } from '../changes.js';
import type { Change } from '../measured.js';
import { describeRows } from '../rows.js';

const named =
  (path: string, brand: string | null): Change =>
  (m) => {
    m.file.path = path;
    wrapper({ brand })(m);
  };

describeRows('file-type', [
  ['.mov branded qt', {}, none, 'pass'],
  ['.mov branded isom', {}, named('/m/a.mov', 'isom'), 'fail'],
  ['.mp4 branded isom', {}, named('/m/a.mp4', 'isom'), 'pass'],
  ['.mp4 branded qt', {}, named('/m/a.mp4', 'qt  '), 'fail'],
  ['.mov older than brands', {}, named('/m/a.MOV', null), 'pass'],
  ['.mp4 without a brand', {}, named('/m/a.mp4', null), 'fail'],
  ['.mxf that is a mov', {}, named('/m/a.mxf', 'qt  '), 'fail'],
  ['a name that promises nothing', {}, named('/m/a.part', 'qt  '), 'unmeasured'],
  ['boxes not read', {}, noWrapper, 'unmeasured'],
]);
