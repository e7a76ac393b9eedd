import type { Measurement } from '../../../jobs/measurement/measurement.js';
import { nits } from '../../../jobs/words/quantities.js';
import { doubtAbout, reasonFor } from '../doubt.js';
import type { Rule } from '../requirement.js';
import { type Rulings, unmeasured } from '../ruling.js';

export type Luminance = NonNullable<Measurement['luminance']>;

/**
 * A rule on light levels, which only PQ and HLG have; `subject` is the figure that has to be free of doubt.
 */
export function onLuminance<L>(
  subject: string,
  rule: (
    limits: L,
    luminance: Luminance,
    measurement: Measurement,
    context: Parameters<Rule<L>>[2],
  ) => Rulings,
): Rule<L> {
  return (limits, measurement, context) => {
    const { luminance } = measurement;
    if (luminance !== null && doubtAbout(measurement, subject) === null) {
      return rule(limits, luminance, measurement, context);
    }
    const what = 'luminance: the picture is not known to be PQ or HLG';
    return unmeasured(
      reasonFor(measurement, what, subject),
      'Write the transfer function into the file, then measure it again.',
    );
  };
}

export function forDisplay({ displayPeak }: Luminance): string {
  return displayPeak === null ? '' : ` on a display of ${nits(displayPeak)}`;
}
