import { MOST_RUNS, type SoundContent } from '../../../../jobs/measurement/measured-sound.js';
import { type Change, sound } from '../measured.js';
import { CONTENT, quietAt } from '../measured-sound.js';

export const content = (of: SoundContent | null): Change => sound({ content: of });
export const quiet = (...args: Parameters<typeof quietAt>): SoundContent => ({
  ...CONTENT,
  quiet: quietAt(...args),
});
export const monos: Change = (m) => {
  const mono = { channels: 1, layout: 'mono', content: { ...CONTENT, channels: [], pairs: [] } };
  sound(mono, mono)(m);
};
/** Every run that is kept is over the limit, and there are more. */
export const manyRuns = (): SoundContent => {
  const runs = Array.from({ length: MOST_RUNS }, (_, i): [number, number] => [i * 5, i * 5 + 3]);
  const levels = quietAt(-60, ...runs);
  return { ...CONTENT, quiet: levels.map((level) => ({ ...level, count: level.count * 2 })) };
};
export const unlabelled: Change = sound({ channels: 8, layout: null, content: { ...CONTENT, pairs: null } });
