import { describe, expect, it } from 'vitest';
import { MemoryPlan } from '../../../../../workers/measure/picture/kernel/memory-plan.js';
import {
  addressOf,
  allRecordBytes,
  placeRecord,
  readRecord,
  recordBytes,
  writeRecord,
} from '../../../../../workers/measure/picture/kernel/record-memory.js';
import { Job } from '../../../../../workers/measure/picture/kernel/records.js';

class Inner {
  count = 0;
  share = Number.NaN;
}

class Outer {
  first = 0;
  inner = new Inner();
  again = new Inner();
  last = 0;
}

const VALUES = {
  first: -7,
  inner: { count: 2 ** 31 - 1, share: 0.1 },
  again: { count: -(2 ** 31), share: -1e20 },
  last: 9,
};

describe('records in the memory of the kernel', () => {
  it('lie field by field, four bytes each, a record within a record as its address', () => {
    const plan = new MemoryPlan();
    const places = placeRecord(plan, new Outer());
    const memory = new ArrayBuffer(65_536 * plan.pages);
    writeRecord(memory, places, new Outer(), VALUES);
    const ints = new Int32Array(memory, addressOf(places, ''), 4);
    expect([...ints]).toEqual([-7, addressOf(places, 'inner'), addressOf(places, 'again'), 9]);
    const inner = addressOf(places, 'inner');
    expect(new Int32Array(memory, inner, 1)[0]).toBe(2 ** 31 - 1);
    expect(new Float32Array(memory, inner + 4, 1)[0]).toBe(Math.fround(0.1));
  });

  it('are read back', () => {
    const plan = new MemoryPlan();
    const places = placeRecord(plan, new Outer());
    const memory = new ArrayBuffer(65_536 * plan.pages);
    writeRecord(memory, places, new Outer(), VALUES);
    const again = readRecord(memory, addressOf(places, 'again'), new Inner());
    expect(again).toEqual({ count: -(2 ** 31), share: Math.fround(-1e20) });
  });

  it('do not overlap, and their kinds count once', () => {
    const plan = new MemoryPlan();
    const places = placeRecord(plan, new Job());
    const ends = [...places.values()].toSorted((a, b) => a - b);
    expect(new Set(ends).size).toBe(places.size);
    expect(recordBytes(new Outer())).toBe(16);
    expect(allRecordBytes(new Outer())).toBe(16 + 8);
  });
});
