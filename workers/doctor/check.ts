/** One thing this machine needs, how it stands, and what to do. */
export interface Check {
  readonly name: string;
  /**
   * `yes`: all is there. `limited`: goodgate works, without what `found` names. `no`: goodgate cannot work.
   */
  readonly ok: 'yes' | 'limited' | 'no';
  /** What was found, one line. */
  readonly found: string;
  /** What to install or do, on Debian, macOS and Fedora; null when nothing is to do. */
  readonly fix: string | null;
}

export const INSTALL = {
  ffmpeg:
    'Debian: apt-get install ffmpeg; macOS: brew install ffmpeg; Fedora: dnf install ffmpeg from RPM Fusion (ffmpeg-free lacks H.264 and HEVC encoders)',
  font: 'Debian: apt-get install fonts-dejavu-core; macOS: brew install --cask font-dejavu; Fedora: dnf install dejavu-sans-mono-fonts',
  redis:
    'Debian: apt-get install redis-server; macOS: brew install redis; Fedora: dnf install valkey; or name a server with REDIS_URL',
  node: 'install Node 20 to 24: Debian: apt-get install nodejs (from NodeSource for older releases); macOS: brew install node@22; Fedora: dnf install nodejs',
  coreutils: 'Debian: apt-get install coreutils; macOS: part of the system; Fedora: dnf install coreutils',
} as const;

export function yes(name: string, found: string): Check {
  return { name, ok: 'yes', found, fix: null };
}
export function limited(name: string, found: string, fix: string): Check {
  return { name, ok: 'limited', found, fix };
}
export function no(name: string, found: string, fix: string): Check {
  return { name, ok: 'no', found, fix };
}
