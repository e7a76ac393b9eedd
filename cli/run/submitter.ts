import { hostname, userInfo } from 'node:os';
import type { Submitter } from '../../jobs/plan/submission.js';

/** Who submits a batch, and where. In a container a user may have a number and no name. */
export function thisSubmitter(): Submitter {
  return { user: userName(), host: hostname() };
}

function userName(): string {
  try {
    return userInfo().username;
  } catch {
    return `uid ${process.getuid?.() ?? 'unknown'}`;
  }
}
