import { request } from 'node:http';
import { describe, expect, it } from 'vitest';
import { parseListenAddress } from '../../../cli/listen/listen-address.js';
import { serveFigures } from '../../../cli/listen/serve-figures.js';
import { GoodgateError } from '../../../jobs/errors.js';

describe('where to listen', () => {
  it.each([
    ['127.0.0.1:9464', '127.0.0.1', 9464],
    ['[::1]:9464', '::1', 9464],
    ['localhost:1', 'localhost', 1],
    // This machine only, unless an address says otherwise.
    ['9464', '127.0.0.1', 9464],
    [':9464', '127.0.0.1', 9464],
    ['0.0.0.0:65535', '0.0.0.0', 65_535],
    ['0', '127.0.0.1', 0],
  ])('%s', (text, host, port) => {
    expect(parseListenAddress(text)).toEqual({ host, port });
  });

  it.each([
    '',
    '127.0.0.1',
    '127.0.0.1:',
    '127.0.0.1:65536',
    '1.2.3:80',
    '::1:9464',
    '[1.2.3.4]:80',
    'a b:80',
    'http://a:80',
    '-a:80',
    '127.0.0.1:80x',
  ])('not "%s"', (text) => {
    expect(() => parseListenAddress(text)).toThrow(/address such as 127\.0\.0\.1:9464/);
  });
});

describe('what is served', () => {
  const served = (why: () => string | null) => ({
    figures: async () => ({ type: 'text/plain; version=0.0.4', text: 'a 1\n' }),
    whyUnhealthy: async () => why(),
  });

  it('figures and health, to nobody else than asks for them', async () => {
    let why: string | null = null;
    const listener = await serveFigures(
      { host: '127.0.0.1', port: 0 },
      served(() => why),
    );
    try {
      const ask = async (path: string, init?: RequestInit) => {
        const answer = await fetch(listener.url + path, init);
        return [answer.status, await answer.text()];
      };
      expect(await ask('/metrics?x=1')).toEqual([200, 'a 1\n']);
      expect(await ask('/metrics', { method: 'HEAD' })).toEqual([200, '']);
      expect(await ask('/healthy')).toEqual([200, 'healthy\n']);
      why = 'the queue does not answer';
      expect(await ask('/healthy')).toEqual([503, 'the queue does not answer\n']);
      expect((await ask('/metrics', { method: 'POST', body: 'x' }))[0]).toBe(405);
      for (const path of ['/', '/etc/passwd', '/healthy/..%2f..']) expect((await ask(path))[0]).toBe(404);
      const taken = serveFigures(
        { host: '127.0.0.1', port: Number(new URL(listener.url).port) },
        served(() => null),
      );
      await expect(taken).rejects.toThrow(/listens there already/);
      await expect(taken).rejects.toBeInstanceOf(GoodgateError);
    } finally {
      await listener.close();
    }
    await expect(fetch(`${listener.url}/healthy`)).rejects.toThrow();
  });

  it('a fault of the figures is an answer, and headers without end are none', async () => {
    const broken = { ...served(() => null), figures: () => Promise.reject(new Error('/secret/path')) };
    const listener = await serveFigures({ host: '127.0.0.1', port: 0 }, broken);
    try {
      const answer = await fetch(`${listener.url}/metrics`);
      expect([answer.status, await answer.text()]).toEqual([500, 'the figures could not be read\n']);
      const status = new Promise((resolve, reject) => {
        const sent = request(`${listener.url}/metrics`, { headers: { x: 'y'.repeat(20_000) } });
        sent.on('response', ({ statusCode }) => resolve(statusCode));
        sent.on('error', reject);
        sent.end();
      });
      // RFC 6585, 5: Request Header Fields Too Large.
      expect(await status).toBe(431);
    } finally {
      await listener.close();
    }
  });
});
