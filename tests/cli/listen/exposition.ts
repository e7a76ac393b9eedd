/**
 * A reader of the text format of Prometheus, 0.0.4, as its documentation writes it ("Exposition formats",
 * text-based format), strict where that says "must": for machines without the real server.
 */
export interface Sample {
  readonly name: string;
  readonly labels: Readonly<Record<string, string>>;
  readonly value: number;
}

const NAME = '[a-zA-Z_:][a-zA-Z0-9_:]*';
const LABEL = /([a-zA-Z_][a-zA-Z0-9_]*)="((?:[^"\\\n]|\\["\\n])*)"(?:,|$)/y;
const LINE = new RegExp(`^(${NAME})(?:\\{(.*)\\})? (\\S+)$`);

function labelsOf(text: string): Record<string, string> {
  const labels: Record<string, string> = {};
  LABEL.lastIndex = 0;
  while (LABEL.lastIndex < text.length) {
    const found = LABEL.exec(text);
    if (found === null) throw new Error(`labels that cannot be read: ${text}`);
    labels[found[1] ?? ''] = found[2] ?? '';
  }
  return labels;
}

export function readExposition(text: string): Sample[] {
  if (!text.endsWith('\n')) throw new Error('the last line must end with a line feed');
  const types = new Map<string, string>();
  const helped = new Set<string>();
  const seen = new Set<string>();
  const samples: Sample[] = [];
  for (const line of text.split('\n')) {
    if (line === '') continue;
    const [, kind, about = '', rest = ''] = /^# (HELP|TYPE) (\S+) (.*)$/.exec(line) ?? [];
    if (kind === 'HELP') {
      if (helped.has(about)) throw new Error(`two HELP lines: ${about}`);
      helped.add(about);
      continue;
    }
    if (kind === 'TYPE') {
      if (types.has(about)) throw new Error(`two TYPE lines: ${about}`);
      if (!/^(counter|gauge|histogram|summary|untyped)$/.test(rest)) throw new Error(`no type: ${line}`);
      types.set(about, rest);
      continue;
    }
    if (line.startsWith('#')) continue;
    const [, name = '', labels = '', value = ''] = LINE.exec(line) ?? [];
    const family = types.has(name) ? name : name.replace(/_(bucket|sum|count)$/, '');
    if (!types.has(family)) throw new Error(`a sample without a TYPE before it: ${line}`);
    if (name !== family && types.get(family) !== 'histogram') throw new Error(`no histogram: ${line}`);
    if (seen.has(`${name}{${labels}}`)) throw new Error(`told twice: ${line}`);
    seen.add(`${name}{${labels}}`);
    const number = value === '+Inf' ? Number.POSITIVE_INFINITY : Number(value);
    if (value !== 'NaN' && Number.isNaN(number)) throw new Error(`no number: ${line}`);
    samples.push({ name, labels: labelsOf(labels), value: number });
  }
  return samples;
}

/** The value of one series; undefined: there is none. */
export function seriesValue(
  samples: readonly Sample[],
  name: string,
  labels: Readonly<Record<string, string>> = {},
): number | undefined {
  return samples.find(
    (sample) =>
      sample.name === name && Object.entries(labels).every(([key, value]) => sample.labels[key] === value),
  )?.value;
}
