/**
 * The C4 identifier (SMPTE ST 2114:2017): "c4" and the SHA-512, a big-endian integer, in base 58 with 88
 * digits.
 */
const DIGITS = '123456789ABCDEFGHJKLMNPQRSTUVWXYZabcdefghijkmnopqrstuvwxyz';
const BASE = BigInt(DIGITS.length);
const LENGTH = 88;
const DIGEST_BYTES = 64;

/** @param digest SHA-512, 64 bytes */
export function c4OfDigest(digest: Uint8Array): string {
  let rest = BigInt(`0x${Buffer.from(digest).toString('hex')}`);
  let text = '';
  for (let at = 0; at < LENGTH; at++) {
    text = (DIGITS[Number(rest % BASE)] ?? '') + text;
    rest /= BASE;
  }
  return `c4${text}`;
}

/** The SHA-512 a C4 identifier stands for; null where the text is none. */
export function digestOfC4(text: string): Buffer | null {
  if (text.length !== LENGTH + 2 || !text.startsWith('c4')) return null;
  let value = 0n;
  for (const character of text.slice(2)) {
    const digit = DIGITS.indexOf(character);
    if (digit < 0) return null;
    value = value * BASE + BigInt(digit);
  }
  const hex = value.toString(16).padStart(2 * DIGEST_BYTES, '0');
  return hex.length > 2 * DIGEST_BYTES ? null : Buffer.from(hex, 'hex');
}
