import { makeLargeCard } from './large-card.js';
import { measuredCommand } from './measured-command.js';

/** Planned whole also where the outputs do not fit on the disk, which ends with 3. */
const CODES = [0, 3];

/** What `goodgate plan` of so many clips costs, from a manifest in JSON and in YAML, and its document. */
export function* planScaleLines(clips: number): Generator<string> {
  const card = makeLargeCard(clips);
  try {
    yield `goodgate plan of ${clips} clips, two outputs each`;
    for (const [name, args] of [
      ['manifest in JSON', ['plan', card.json]],
      ['manifest in YAML', ['plan', card.yaml]],
      ['JSON, --json', ['plan', card.json, '--json']],
    ] as const) {
      const { processorSeconds, peakMegabytes, stdout } = measuredCommand(args, {}, CODES);
      const printed = `${(stdout.length / 1e6).toFixed(1)} MB printed`;
      yield `  ${name.padEnd(18)} ${processorSeconds.toFixed(1).padStart(6)} s of processor, ${peakMegabytes.toFixed(0).padStart(5)} MB, ${printed}`;
    }
  } finally {
    card.remove();
  }
}
