import { defineRequirement } from '../requirement.js';
import { LISTEN, quietWords, ruleOnQuiet } from './quiet.js';

export const requirement = defineRequirement('digital-silence', {
  title: 'Digital silence',
  why: 'Recorded silence has noise; samples of zero are a gap in the mix or a dropout.',
  expected: (limits) => quietWords({ ...limits, below: null }),
  advice: LISTEN,
  rule: (limits, measurement, context) => ruleOnQuiet({ ...limits, below: null }, measurement, context),
  within: 'rule',
});
