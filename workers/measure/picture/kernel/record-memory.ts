import type { MemoryPlan } from './memory-plan.js';

/**
 * A record of the kernel, as records.ts has them: numbers and further records, in the order of its fields.
 */
interface RecordShape {
  readonly [field: string]: number | RecordShape;
}

const FIELD_BYTES = 4;

/** Bytes of a record's own fields: a record within it is an address. */
export function recordBytes(empty: object): number {
  return FIELD_BYTES * Object.keys(empty).length;
}

/** Bytes of every kind of record in a record, once each. */
export function allRecordBytes(empty: object): number {
  const kinds = new Map<unknown, number>();
  const note = (record: object): void => {
    kinds.set(record.constructor, recordBytes(record));
    for (const value of Object.values(record)) if (typeof value === 'object') note(value);
  };
  note(empty);
  return [...kinds.values()].reduce((sum, bytes) => sum + bytes, 0);
}

/**
 * Where a record and those within it are to lie: each by its path, such as `light` or `p3.red`; the outermost
 * by ''.
 */
export type RecordPlaces = ReadonlyMap<string, number>;

/** Takes memory for a record and for those within it. `empty` is the record as its class makes it. */
export function placeRecord(plan: MemoryPlan, empty: object): RecordPlaces {
  const places = new Map<string, number>();
  const place = (record: RecordShape, path: string): void => {
    places.set(path, plan.take(recordBytes(record)));
    for (const [field, value] of Object.entries(record)) {
      if (typeof value === 'object') place(value, join(path, field));
    }
  };
  place(shapeOf(empty), '');
  return places;
}

function join(path: string, field: string): string {
  return path === '' ? field : `${path}.${field}`;
}

/** The address of a placed record. Throws where there is none of that path: a mistake of ours. */
export function addressOf(places: RecordPlaces, path: string): number {
  const address = places.get(path);
  if (address === undefined) throw new Error(`no record ${path} in the kernel's memory`);
  return address;
}

/** Writes a record, and those within it, to where they were placed. */
export function writeRecord<T extends object>(
  memory: ArrayBufferLike,
  places: RecordPlaces,
  empty: T,
  values: T,
): void {
  const view = new DataView(memory);
  const write = (shape: RecordShape, from: RecordShape, path: string): void => {
    let at = addressOf(places, path);
    for (const [field, kind] of Object.entries(shape)) {
      const value = from[field];
      if (typeof kind === 'object' && typeof value === 'object') {
        write(kind, value, join(path, field));
        view.setUint32(at, addressOf(places, join(path, field)), true);
      } else if (typeof value !== 'number') {
        throw new Error(`the kernel's record ${path} has no ${field}`);
      } else if (Number.isNaN(kind)) {
        view.setFloat32(at, value, true);
      } else {
        view.setInt32(at, value, true);
      }
      at += FIELD_BYTES;
    }
  };
  write(shapeOf(empty), shapeOf(values), '');
}

/** Reads a record of numbers that lies at `address`. */
export function readRecord<T extends object>(memory: ArrayBufferLike, address: number, empty: T): T {
  const view = new DataView(memory, address, recordBytes(empty));
  const values = Object.entries(empty).map(([field, kind], index) => [
    field,
    Number.isNaN(kind)
      ? view.getFloat32(FIELD_BYTES * index, true)
      : view.getInt32(FIELD_BYTES * index, true),
  ]);
  return Object.assign(empty, Object.fromEntries(values));
}

/** Every field is a number or a record of such. Throws where one is not: a mistake of ours. */
function shapeOf(record: object): RecordShape {
  if (!isShape(record)) throw new Error("a field of the kernel's record is neither a number nor a record");
  return record;
}

function isShape(record: object): record is RecordShape {
  return Object.values(record).every(
    (value) => typeof value === 'number' || (typeof value === 'object' && value !== null && isShape(value)),
  );
}
