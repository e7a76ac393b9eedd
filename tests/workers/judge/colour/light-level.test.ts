import { both, luminance, none } from '../changes.js';
import { type Change, noLuminance } from '../measured.js';
import { describeRows } from '../rows.js';

function lightLevels(saidCll: number, saidFall: number, maxCll: number, maxFall: number): Change {
  return both(luminance({ maxCll, maxFall }), (m) => {
    m.hdr.lightLevel = { maxCll: saidCll, maxFall: saidFall };
  });
}

describeRows('light-level', [
  ['true', {}, none, 'pass'],
  ['1 % off', {}, luminance({ maxCll: 990.1 }), 'pass'],
  ['more than 1 % off', {}, luminance({ maxCll: 989 }), 'fail'],
  ['1 cd/m2 off at a dark level', {}, lightLevels(20, 5, 19, 4), 'pass'],
  ['more than 1 cd/m2 off at a dark level', {}, lightLevels(20, 5, 18.9, 4), 'fail'],
  ['MaxFALL untrue', {}, luminance({ maxFall: 150 }), 'fail'],
  ['MaxFALL as high as MaxCLL', {}, lightLevels(100, 100, 100, 100), 'pass'],
  ['MaxFALL above MaxCLL', {}, lightLevels(100, 101, 100, 100), 'fail'],
  ['not stated', {}, (m) => Object.assign(m.hdr, { lightLevel: null }), 'fail'],
  ['0 means unknown', {}, lightLevels(1000, 0, 1000, 0), 'fail'],
  ['stated and not measured', {}, noLuminance, 'unmeasured'],
]);
