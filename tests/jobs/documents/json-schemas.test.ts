import { readdir, readFile } from 'node:fs/promises';
import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { z } from 'zod';
import { DOCUMENT_NAMES, jsonSchema } from '../../../jobs/documents/json-schemas.js';

/** A validator made from the JSON alone. */
function validator(schema: unknown): z.ZodType {
  if (typeof schema !== 'object' || schema === null) throw new Error('no schema');
  return z.fromJSONSchema({ ...schema });
}

describe('jsonSchema', () => {
  it.each(DOCUMENT_NAMES)(
    '%s: names its schema, and refuses keys it does not know where people write them',
    (name) => {
      const schema = jsonSchema(name);
      expect(schema).toMatchObject({
        $schema: 'https://json-schema.org/draft/2020-12/schema',
        type: 'object',
      });
      const document = name === 'target' || name === 'manifest' ? 'target, manifest' : name;
      const forms = name === 'target' ? [schema.then, schema.else] : [schema];
      if (document !== name)
        for (const form of forms) expect(form).toMatchObject({ additionalProperties: false });
      const text = JSON.stringify(schema);
      expect(text).toContain(`"const":"goodgate/${name}@1"`);
    },
  );

  it('of targets takes every built-in as it is written', async () => {
    const folder = new URL('../../../jobs/targets/built-in/', import.meta.url);
    const whole = validator(jsonSchema('target').else);
    const extending = validator(jsonSchema('target').then);
    for (const file of await readdir(folder)) {
      const document: unknown = parse(await readFile(new URL(file, folder), 'utf8'));
      const extendsOther = typeof document === 'object' && document !== null && 'extends' in document;
      const result = (extendsOther ? extending : whole).safeParse(document);
      expect(result.success, `${file}: ${result.error?.message}`).toBe(true);
    }
    const head = { schema: 'goodgate/target@1', name: 'x', title: 'x' };
    expect(whole.safeParse({ ...head, require: { loud: {} } }).success).toBe(false);
    expect(whole.safeParse({ ...head, require: { loudness: { target: -23 } } }).success).toBe(false);
    expect(whole.safeParse({ ...head, require: { loudness: null } }).success).toBe(false);
    const own = { ...head, extends: 'hd-sdr-master' };
    expect(extending.safeParse({ ...own, require: { loudness: { target: -24 }, audio: null } }).success).toBe(
      true,
    );
    expect(extending.safeParse({ ...own, require: { loudness: { taget: -24 } } }).success).toBe(false);
    expect(extending.safeParse({ ...own, require: { loudness: { target: 'loud' } } }).success).toBe(false);
  });
});
