import { isIP } from 'node:net';
import { InvalidArgumentError } from 'commander';

/** Where to listen. */
export interface ListenAddress {
  readonly host: string;
  /** 0: any that is free. */
  readonly port: number;
}

const HOST_NAME = /^[A-Za-z0-9](?:[A-Za-z0-9.-]{0,251}[A-Za-z0-9])?$/;

/**
 * `127.0.0.1:9464`, `[::1]:9464`, `localhost:9464`, or a port alone, which is one of this machine only:
 * nobody else reads the figures unless an address says so.
 *
 * @throws InvalidArgumentError for anything else
 */
export function parseListenAddress(text: string): ListenAddress {
  const [, six, name, digits = ''] = /^(?:(?:\[([^\]]+)\]|([^:[\]]*)):)?(\d{1,5})$/.exec(text) ?? [];
  const port = Number(digits);
  const host = six ?? (name === undefined || name === '' ? '127.0.0.1' : name);
  const isHost = six === undefined ? isIP(host) === 4 || isName(host) : isIP(six) === 6;
  if (digits === '' || port > 65_535 || !isHost)
    throw new InvalidArgumentError('An address such as 127.0.0.1:9464 or [::1]:9464 is needed, or a port.');
  return { host, port };
}

/** A name has a letter: digits and dots alone are an address with a mistake in it. */
function isName(host: string): boolean {
  return HOST_NAME.test(host) && /[A-Za-z]/.test(host);
}
