import { once } from 'node:events';
import { createServer, type IncomingMessage, type ServerResponse } from 'node:http';
import { GoodgateError } from '../../jobs/errors.js';
import type { ListenAddress } from './listen-address.js';

/** What is served: figures for a monitoring server, and whether all is well. */
export interface Served {
  readonly figures: () => Promise<{ readonly type: string; readonly text: string }>;
  /** What is wrong, in a sentence; null: all is well. */
  readonly whyUnhealthy: () => Promise<string | null>;
}

export interface Listener {
  /** `http://127.0.0.1:9464`. */
  readonly url: string;
  close(): Promise<void>;
}

/** Nobody needs more than a few connections to read a page of figures. */
const CONNECTIONS = 16;
const SLOW_MS = 5_000;

/**
 * Serves `/metrics` (text format 0.0.4 of Prometheus) and `/healthy` (200, or 503 with the reason). It reads
 * nothing but the first line and the headers of a request, and takes no orders.
 *
 * @throws GoodgateError `bad-option` where nothing can listen at that address
 */
export async function serveFigures({ host, port }: ListenAddress, served: Served): Promise<Listener> {
  const server = createServer(
    {
      ...{
        maxHeaderSize: 8_192,
        headersTimeout: SLOW_MS,
        requestTimeout: SLOW_MS,
        keepAliveTimeout: SLOW_MS,
      },
      // Node looks for slow requests every half minute otherwise: health was silent for so long.
      connectionsCheckingInterval: 1_000,
    },
    (request, response) => {
      answer(request, response, served).catch(() => end(response, 500, 'the figures could not be read'));
    },
  );
  server.maxConnections = CONNECTIONS;
  // It keeps no worker that ended for another reason from going.
  server.unref();
  server.listen({ host, port });
  try {
    await once(server, 'listening');
  } catch (error) {
    const code = error instanceof Error && 'code' in error ? String(error.code) : String(error);
    const why = code === 'EADDRINUSE' ? 'somebody listens there already' : code;
    throw new GoodgateError('bad-option', {
      what: `--listen ${shownHost(host)}:${port}: ${why}`,
      next: 'name another port; two workers of one machine need one each',
      cause: error,
    });
  }
  const address = server.address();
  const bound = typeof address === 'object' && address !== null ? address.port : port;
  return {
    url: `http://${shownHost(host)}:${bound}`,
    async close() {
      server.closeAllConnections();
      await new Promise<void>((resolve) => server.close(() => resolve()));
    },
  };
}

function shownHost(host: string): string {
  return host.includes(':') ? `[${host}]` : host;
}

async function answer(request: IncomingMessage, response: ServerResponse, served: Served): Promise<void> {
  const path = request.url?.split('?')[0];
  if (request.method !== 'GET' && request.method !== 'HEAD') {
    response.setHeader('Allow', 'GET, HEAD');
    end(response, 405, 'only GET and HEAD');
  } else if (path === '/metrics') {
    const { type, text } = await served.figures();
    response.setHeader('Content-Type', type);
    response.end(text);
  } else if (path === '/healthy') {
    const why = await served.whyUnhealthy();
    end(response, why === null ? 200 : 503, why ?? 'healthy');
  } else end(response, 404, 'there are /metrics and /healthy');
}

function end(response: ServerResponse, status: number, text: string): void {
  if (response.headersSent) {
    response.destroy();
    return;
  }
  response.writeHead(status, { 'Content-Type': 'text/plain; charset=utf-8', 'Cache-Control': 'no-store' });
  response.end(`${text}\n`);
}
