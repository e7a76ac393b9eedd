import { HLG } from '../transfer/hlg.js';
import { type HlgDisplay, hlgSystemGamma } from '../transfer/hlg-ootf.js';

/** Report ITU-R BT.2408-8, Table 1: HDR reference white, the level of a 100 % diffuser and of graphics. */
export const REFERENCE_WHITE_NITS = 203;
export const REFERENCE_WHITE_HLG_SIGNAL = 0.75;

/**
 * HLG scene light of a 100 % diffuser. With it scene light through the HLG system (OETF, and OOTF of a 1,000
 * cd/m2 display) matches every level of BT.2408-8 Table 1: 18 % grey at 38 % and 26 cd/m2, 90 % at 73 % and
 * 179 cd/m2.
 */
export const HLG_LIGHT_OF_REFERENCE_WHITE = HLG.inverseOetf(REFERENCE_WHITE_HLG_SIGNAL);

/** Conversion between HLG and PQ: at 1,000 cd/m2 both show the same picture (Report ITU-R BT.2408-8). */
export const BRIDGE_PEAK_NITS = 1000;
export const BRIDGE_DISPLAY: HlgDisplay = {
  peak: BRIDGE_PEAK_NITS,
  black: 0,
  gamma: hlgSystemGamma(BRIDGE_PEAK_NITS),
};

/** Reference white of an SDR display, cd/m2 (BT.2035; BT.1886 names no figure). */
export const SDR_WHITE_NITS = 100;
