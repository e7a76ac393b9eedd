import { setTimeout as sleep } from 'node:timers/promises';

/** Before each try but the first; a try has ten seconds: all are over within a minute. */
const PAUSES_MS = [0, 1_000, 4_000, 10_000];
const TRY_MS = 10_000;
/** RFC 9110, 15.5.9; RFC 6585, 4: the same request may be sent again. */
const AGAIN_LATER = [408, 429];

export interface Delivery {
  /** The same for every try of one message, so that a receiver can tell that it has it already. */
  readonly key: string;
  readonly signal: AbortSignal;
  readonly pausesMs?: readonly number[];
  readonly tryMs?: number;
}

/** An address as people may see it: what follows its host, and stands before it, may be a secret. */
export function shownAddress(url: URL): string {
  return `${url.protocol}//${url.host}`;
}

/**
 * Sends a message to an address by POST, as JSON. What fails for the moment is tried again. No redirect is
 * followed: the secrets of an address are for its own host.
 *
 * @returns why it failed, in a sentence without secrets; null: the address answered with 2xx
 */
export async function notifyWebhook(
  url: URL,
  message: string,
  { key, signal, pausesMs = PAUSES_MS, tryMs = TRY_MS }: Delivery,
): Promise<string | null> {
  let why = 'it was interrupted';
  for (const pause of pausesMs) {
    await sleep(pause, undefined, { signal }).catch(() => undefined);
    if (signal.aborted) return why;
    const answer = await post(url, message, key, AbortSignal.any([signal, AbortSignal.timeout(tryMs)]));
    if (typeof answer === 'string') why = answer;
    else if (answer >= 200 && answer < 300) return null;
    else {
      why = `it answered ${answer}`;
      if (answer < 500 && !AGAIN_LATER.includes(answer)) return why;
    }
  }
  return `${why}; tried ${pausesMs.length} times`;
}

/** The status that came back, or why none did. */
async function post(url: URL, body: string, key: string, signal: AbortSignal): Promise<number | string> {
  const address = new URL(url);
  const { username, password } = address;
  // fetch takes no address with a password in it: it goes where RFC 7617 has it.
  address.username = '';
  address.password = '';
  const basic = Buffer.from(`${decodeURIComponent(username)}:${decodeURIComponent(password)}`);
  const headers: Record<string, string> = {
    ...{ 'Content-Type': 'application/json', 'Idempotency-Key': `"${key}"`, 'User-Agent': 'goodgate' },
    ...(username + password === '' ? {} : { Authorization: `Basic ${basic.toString('base64')}` }),
  };
  try {
    const answer = await fetch(address, { method: 'POST', body, headers, signal, redirect: 'manual' });
    await answer.body?.cancel().catch(() => undefined);
    return answer.status;
  } catch (error) {
    return whyNoAnswer(error);
  }
}

/** By code alone: messages of the network may hold the address. */
function whyNoAnswer(error: unknown): string {
  if (error instanceof DOMException && error.name === 'TimeoutError') return 'it did not answer in time';
  const cause = error instanceof Error ? error.cause : null;
  const code = cause instanceof Error && 'code' in cause ? String(cause.code) : '';
  return /^[A-Z][A-Z0-9_]{2,40}$/.test(code) ? `it cannot be reached (${code})` : 'it cannot be reached';
}
