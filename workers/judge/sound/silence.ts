import { defineRequirement } from '../requirement.js';
import { LISTEN, quietWords, ruleOnQuiet } from './quiet.js';

export const requirement = defineRequirement('silence', {
  title: 'Silence',
  why: 'Silence nobody meant is a stem that was not laid, or a fault on the way.',
  expected: quietWords,
  advice: LISTEN,
  rule: ruleOnQuiet,
  within: 'rule',
});
