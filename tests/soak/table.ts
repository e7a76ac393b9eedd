/** What became of one kind of fault. */
export interface Row {
  readonly fault: string;
  times: number;
  /** Of them how often the batch had to be started again by hand. */
  again: number;
  /** Clips whose jobs were given up on the way, and were made when the batch was started again. */
  givenUp: number;
  /** Everything that was not as a clean run leaves it. */
  readonly wrong: string[];
}

export class Table {
  private readonly rows = new Map<string, Row>();

  of(fault: string): Row {
    const row = this.rows.get(fault) ?? { fault, times: 0, again: 0, givenUp: 0, wrong: [] };
    this.rows.set(fault, row);
    return row;
  }

  /** As it goes into the docs. */
  lines(): string[] {
    const cells = [
      ['fault', 'times', 'started again', 'clips given up on the way', 'lost or left behind'],
      ...[...this.rows.values()].map(({ fault, times, again, givenUp, wrong }) => [
        ...[fault, `${times}`, `${again}`, `${givenUp}`],
        wrong.length === 0 ? 'nothing' : `${wrong.length}: ${wrong[0]}`,
      ]),
    ];
    const lines = cells.map((row) => `| ${row.join(' | ')} |`);
    return [lines[0] ?? '', '| --- | --- | --- | --- | --- |', ...lines.slice(1)];
  }

  wrong(): string[] {
    return [...this.rows.values()].flatMap(({ fault, wrong }) => wrong.map((line) => `${fault}: ${line}`));
  }
}
