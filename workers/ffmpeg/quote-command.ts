/** A command quoted for a POSIX shell: for logs and people, never executed. */
export function quoteCommand(program: string, args: readonly string[]): string {
  return [program, ...args]
    .map((arg) => (/^[\w@%+=:,./-]+$/.test(arg) ? arg : `'${arg.replaceAll("'", "'\\''")}'`))
    .join(' ');
}
