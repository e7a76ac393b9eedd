import { defineRequirement } from '../requirement.js';
import { LISTEN, quietWords, ruleOnQuiet } from './quiet.js';

export const requirement = defineRequirement('silence', {
  title: 'Silence',
  why: 'Unintended silence is a missing stem, or a fault in a later step.',
  expected: quietWords,
  advice: LISTEN,
  rule: ruleOnQuiet,
  within: 'rule',
});
