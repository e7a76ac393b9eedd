/** What stands before the last `@` of an address, up to a quote or the end of the line. */
const BEFORE_HOST = /\b((?!file:)[a-z][a-z0-9+.-]*:\/\/)[^\n"']*@/gi;
/** `?password=...` as some addresses carry it. */
const IN_QUERY = /([?&](?:user|username|pass|password|auth|token)=)[^&\s"']*/gi;

/**
 * A text as it may be shown: user names and passwords of the addresses in it are left out. More may go than a
 * parser would take for a password: addresses are mistyped, and a `/` or `@` in a password is seldom encoded.
 */
export function withoutSecrets(text: string): string {
  return text.replace(BEFORE_HOST, '$1***@').replace(IN_QUERY, '$1***');
}
