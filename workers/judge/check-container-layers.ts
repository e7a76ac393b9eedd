import type { HdrStaticMetadata } from '../../jobs/manifest/colour.js';
import type { Layer } from '../../jobs/measurement/measured-container.js';
import type { Measurement } from '../../jobs/measurement/measurement.js';
import { equalRationals, parseRational } from '../../signal/rational.js';
import { withVideo } from './check-format.js';
import { doubtAbout } from './doubt.js';
import { nits, oneOf } from './figures.js';
import { type Check, doubtful, hold, met, missed, type Ruling, unmeasured, worstOf } from './ruling.js';

/** What both layers say of one thing, in words; or which of them says nothing, and why. */
interface Said {
  readonly container: string | null;
  readonly bitstream: string | null;
}

/** Where one layer is silent nothing contradicts, and nothing is proven. */
function silence(measurement: Measurement, what: string, field: keyof Layer, said: Said): string | null {
  const silent = (['container', 'bitstream'] as const).filter((layer) => said[layer] === null);
  if (silent.length === 0) return null;
  return silent
    .map((layer) => {
      const doubt = doubtAbout(measurement, `layers.${layer}.${field}`);
      return `the ${layer} says nothing of ${what}${doubt === null ? '' : ` (${doubt})`}`;
    })
    .join(', ');
}

function unproven(expected: string, reason: string, proof: boolean, advice: string): Ruling {
  return proof ? unmeasured(expected, reason, advice) : met(expected, `no contradiction: ${reason}`);
}

export const aspectLayers: Check<'aspect-layers'> = ({ proof }, measurement) => {
  const expected = 'container and bitstream say the same of the sample aspect';
  return withVideo(measurement, expected, () => {
    const { container, bitstream } = measurement.layers;
    const said = { container: container?.sampleAspect ?? null, bitstream: bitstream?.sampleAspect ?? null };
    const advice = 'Have both layers carry the sample aspect of the picture.';
    const silent = silence(measurement, 'the sample aspect', 'sampleAspect', said);
    if (silent !== null) return unproven(expected, silent, proof, advice);
    const [outer, inner] = [parseRational(said.container ?? ''), parseRational(said.bitstream ?? '')];
    const agree = outer !== null && inner !== null && equalRationals(outer, inner);
    const measured = agree
      ? `both ${said.container}`
      : `container ${said.container}; bitstream ${said.bitstream}`;
    return hold(agree, expected, measured, advice);
  });
};

/** A container may count the lines and columns of whole macroblocks: 16 of them, 32 lines where fields are coded apart. */
const MACROBLOCKS = [16, 32] as const;

export const rasterLayers: Check<'raster-layers'> = ({ proof }, measurement) => {
  const expected = 'container and bitstream say the same of the raster';
  return withVideo(measurement, expected, () => {
    const { container, bitstream } = measurement.layers;
    const [outer, inner] = [container?.raster ?? null, bitstream?.raster ?? null];
    const words = (raster: Layer['raster']): string | null => raster && `${raster.width} x ${raster.height}`;
    const said = { container: words(outer), bitstream: words(inner) };
    const advice = 'Wrap the stream again, so that the container repeats its raster.';
    const silent = silence(measurement, 'the raster', 'raster', said);
    if (silent !== null || outer === null || inner === null) {
      return unproven(expected, silent ?? '', proof, advice);
    }
    if (said.container === said.bitstream) return met(expected, `both ${said.container}`);
    const measured = `container ${said.container}; bitstream ${said.bitstream}`;
    const isPadded = (shown: number, stored: number, blocks: readonly number[]): boolean =>
      stored === shown || blocks.some((size) => stored === Math.ceil(shown / size) * size);
    return isPadded(inner.width, outer.width, [MACROBLOCKS[0]]) &&
      isPadded(inner.height, outer.height, MACROBLOCKS)
      ? met(expected, `${measured}, filled up to whole macroblocks`)
      : missed(expected, measured, advice);
  });
};

export const rateLayers: Check<'rate-layers'> = ({ proof }, measurement) => {
  const expected = 'container and bitstream say the same of the frame rate';
  return withVideo(measurement, expected, (video) => {
    const stated = measurement.layers.bitstream?.frameRate ?? null;
    const said = { container: video.frameRate, bitstream: stated?.rate ?? null };
    const advice = 'Have both layers carry the rate of the picture.';
    const silent = silence(measurement, 'the frame rate', 'frameRate', said);
    if (silent !== null) return unproven(expected, silent, proof, advice);
    const [outer, inner] = [parseRational(said.container ?? ''), parseRational(said.bitstream ?? '')];
    const measured = `container ${said.container}; bitstream ${said.bitstream}`;
    if (outer === null || inner === null || !equalRationals(outer, inner)) {
      return stated?.fixed
        ? missed(expected, measured, advice)
        : doubtful(expected, `${measured}, which it does not promise to be fixed`, advice);
    }
    // The container's rate is what its time stamps show, not what a header of it says.
    if (video.constantRate !== true) {
      const reason = doubtAbout(measurement, 'video.constantRate') ?? 'frames of uneven length';
      return unmeasured(expected, `both ${said.container}; ${reason}`, advice);
    }
    return met(expected, `both ${said.container}`);
  });
};

export const scanLayers: Check<'scan-layers'> = ({ proof, segmented }, measurement) => {
  const expected = 'container and bitstream say the same of the scan';
  return withVideo(measurement, expected, () => {
    const { container, bitstream } = measurement.layers;
    const said = { container: container?.scan ?? null, bitstream: bitstream?.scan ?? null };
    const advice = 'Have both layers carry the scan of the picture.';
    const silent = silence(measurement, 'the scan', 'scan', said);
    if (silent !== null) return unproven(expected, silent, proof, advice);
    if (said.container === said.bitstream) return met(expected, `both ${said.container}`);
    const measured = `container ${said.container}; bitstream ${said.bitstream}`;
    if (segmented && said.container === 'progressive') {
      return doubtful(
        expected,
        `${measured}: progressive frames coded as two fields, if nothing moves between them`,
        'Look at motion field by field.',
      );
    }
    return missed(expected, measured, advice);
  });
};

/** Units of the metadata: chromaticities in steps of 0.00002, luminances of 0.0001 cd/m2 (ITU-T H.265, D.3.28; from memory). */
const CHROMATICITY_STEP = 0.000_02;
const LUMINANCE_STEP = 0.000_1;

export const hdrLayers: Check<'hdr-layers'> = ({ proof }, measurement) => {
  const expected = 'container and bitstream say the same of mastering display and light level';
  return withVideo(measurement, expected, () => {
    const { container, bitstream } = measurement.layers;
    const advice = 'Have both layers carry the same static metadata.';
    const compare = <T>(
      what: string,
      field: 'mastering' | 'lightLevel',
      outer: T | null,
      inner: T | null,
      same: (a: T, b: T) => boolean,
      word: (value: T) => string,
    ): Ruling => {
      const said = { container: outer && word(outer), bitstream: inner && word(inner) };
      const silent = silence(measurement, what, field, said);
      if (silent !== null || outer === null || inner === null) {
        return unproven(expected, silent ?? '', proof, advice);
      }
      if (same(outer, inner)) return met(expected, `${what}: both ${said.container}`);
      return missed(expected, `${what}: container ${said.container}; bitstream ${said.bitstream}`, advice);
    };
    return worstOf([
      compare(
        'the mastering display',
        'mastering',
        container?.mastering ?? null,
        bitstream?.mastering ?? null,
        sameDisplay,
        displayWords,
      ),
      compare(
        'the light level',
        'lightLevel',
        container?.lightLevel ?? null,
        bitstream?.lightLevel ?? null,
        (a, b) => a.maxCll === b.maxCll && a.maxFall === b.maxFall,
        ({ maxCll, maxFall }) => `MaxCLL ${maxCll}, MaxFALL ${maxFall}`,
      ),
    ]);
  });
};

type Display = NonNullable<HdrStaticMetadata['mastering']>;
const POINTS = ['red', 'green', 'blue', 'white'] as const;

function sameDisplay(a: Display, b: Display): boolean {
  // Less than one step apart: the same number, written in another unit.
  const near = (x: number, y: number, step: number): boolean => Math.abs(x - y) < step * 0.75;
  return (
    POINTS.every(
      (name) =>
        near(a[name][0], b[name][0], CHROMATICITY_STEP) && near(a[name][1], b[name][1], CHROMATICITY_STEP),
    ) &&
    near(a.minLuminance, b.minLuminance, LUMINANCE_STEP) &&
    near(a.maxLuminance, b.maxLuminance, LUMINANCE_STEP)
  );
}

function displayWords(display: Display): string {
  const points = POINTS.map(
    (name) => `${name} ${display[name].map((value) => Number(value.toFixed(5))).join(' ')}`,
  );
  return `${points.join(', ')}, ${nits(display.minLuminance)} to ${nits(display.maxLuminance)}`;
}

const plain = (name: string): string => name.toLowerCase().replace(/[^a-z0-9.]/g, '');

export const codecLevel: Check<'codec-level'> = ({ profiles, levels }, measurement) => {
  const expected = `profile ${oneOf(profiles)}, level ${oneOf(levels)}`;
  return withVideo(measurement, expected, (video) => {
    const { container, bitstream } = measurement.layers;
    const advice = `Encode the picture as ${expected}.`;
    const doubt = doubtAbout(measurement, 'layers.bitstream.level');
    if (bitstream === null || doubt !== null) {
      return unmeasured(expected, doubt ?? 'the bitstream could not be read by itself', advice);
    }
    if (bitstream.profile === null && bitstream.level === null) {
      const { codec } = video;
      return unmeasured(
        expected,
        `a ${codec} stream states neither, or cannot be read by itself here`,
        advice,
      );
    }
    const words = ({ profile, level }: Layer): string =>
      `profile ${profile ?? 'not stated'}, level ${level ?? 'not stated'}`;
    // Profile and level are both required: one that is not stated misses, as EBU QC 0035W has it.
    const within = ({ profile, level }: Layer): boolean =>
      profile !== null &&
      level !== null &&
      profiles.some((name) => plain(name) === plain(profile)) &&
      levels.some((name) => plain(name) === plain(level));
    const contradicts =
      container !== null &&
      ((container.profile !== null && container.profile !== bitstream.profile) ||
        (container.level !== null && container.level !== bitstream.level));
    if (contradicts) {
      return missed(
        expected,
        `container ${words(container)}; bitstream ${words(bitstream)}`,
        'Wrap the stream again, so that the container repeats what it says.',
      );
    }
    return hold(within(bitstream), expected, words(bitstream), advice);
  });
};

export const chromaSiting: Check<'chroma-siting'> = ({ is }, measurement) => {
  const expected = `chroma samples sited ${oneOf(is)}`;
  return withVideo(measurement, expected, ({ chroma }) => {
    const { container, bitstream } = measurement.layers;
    const advice = `Scale the chroma to ${oneOf(is)} and have the file say so.`;
    if (chroma.declared !== '4:2:0' && chroma.declared !== null) {
      return met(expected, `${chroma.declared}: only 4:2:0 has a choice`);
    }
    const [outer, inner] = [container?.chromaSiting ?? null, bitstream?.chromaSiting ?? null];
    if (outer !== null && inner !== null && outer !== inner) {
      return missed(expected, `container ${outer}; bitstream ${inner}`, advice);
    }
    const found = inner ?? outer;
    if (found === null) return unmeasured(expected, 'the file does not say where they sit', advice);
    return hold(
      is.some((name) => name === found),
      expected,
      found,
      advice,
    );
  });
};
