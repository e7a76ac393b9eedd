import { withColumns } from '../picture/recording/growing-columns.js';
import {
  COLUMN_NAMES,
  type FrameColumns,
  type PictureTotals,
  type RgbHistograms,
} from '../picture/recording/picture-totals.js';

/**
 * Totals of a file from those of its parts, in order. Exact: counts are whole numbers, and what is kept of
 * each frame stands one after the other.
 *
 * Throws Error where the parts are not of one picture, or there are none: a mistake of ours.
 */
export function mergeTotals(parts: readonly PictureTotals[]): PictureTotals {
  const [first, ...others] = parts;
  if (!first) throw new Error('no parts to merge');
  return others.reduce((before, after) => {
    if (before.pixelsPerFrame !== after.pixelsPerFrame) throw new Error('the parts differ in size');
    return {
      frames: before.frames + after.frames,
      pixelsPerFrame: before.pixelsPerFrame,
      luma: addSums(before.luma, after.luma),
      cb: addSums(before.cb, after.cb),
      cr: addSums(before.cr, after.cr),
      rgb: addRgb(before.rgb, after.rgb),
      light: addSums(before.light, after.light),
      brightest: addSums(before.brightest, after.brightest),
      columns: joinFrameColumns(before.columns, after.columns),
      studies: mergeRecords(before.studies, after.studies, (a, b) => mergeRecords(a, b, joinColumn)),
      sums: mergeRecords(before.sums, after.sums, addArrays),
    };
  }, first);
}

function addSums(a: Float64Array | null, b: Float64Array | null): Float64Array | null {
  if (a === null && b === null) return null;
  if (a === null || b === null) throw new Error('one part has sums the other has not');
  return addArrays(a, b);
}

function addArrays(a: Float64Array, b: Float64Array): Float64Array {
  if (a.length !== b.length) throw new Error('the sums of the parts differ in length');
  return a.map((value, i) => value + (b[i] ?? 0));
}

function addRgb(a: RgbHistograms | null, b: RgbHistograms | null): RgbHistograms | null {
  if (a === null && b === null) return null;
  if (a?.firstCode !== b?.firstCode || a?.codesPerBin !== b?.codesPerBin || a === null || b === null) {
    throw new Error('the parts count R′G′B′ in different bins');
  }
  return {
    red: addArrays(a.red, b.red),
    green: addArrays(a.green, b.green),
    blue: addArrays(a.blue, b.blue),
    firstCode: a.firstCode,
    codesPerBin: a.codesPerBin,
  };
}

function joinFrameColumns(a: FrameColumns, b: FrameColumns): FrameColumns {
  return withColumns(mergeRecords({ ...a }, { ...b }, joinColumn), COLUMN_NAMES);
}

function joinColumn(a: Float64Array, b: Float64Array): Float64Array {
  const joined = new Float64Array(a.length + b.length);
  joined.set(a);
  joined.set(b, a.length);
  return joined;
}

function mergeRecords<Value>(
  a: Readonly<Record<string, Value>>,
  b: Readonly<Record<string, Value>>,
  merge: (a: Value, b: Value) => Value,
): Readonly<Record<string, Value>> {
  if (Object.keys(a).sort().join() !== Object.keys(b).sort().join()) {
    throw new Error('the parts were looked at by different studies');
  }
  return Object.fromEntries(
    Object.entries(a).map(([name, value]) => {
      const other = b[name];
      if (other === undefined) throw new Error(`the parts differ in ${name}`);
      return [name, merge(value, other)];
    }),
  );
}
