/** A command as a POSIX shell would need it written: for logs and for people, never executed. */
export function quoteCommand(program: string, args: readonly string[]): string {
  return [program, ...args]
    .map((arg) => (/^[\w@%+=:,./-]+$/.test(arg) ? arg : `'${arg.replaceAll("'", "'\\''")}'`))
    .join(' ');
}
