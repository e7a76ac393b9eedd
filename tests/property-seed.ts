import fc from 'fast-check';

// One seed for every run, so that a property that fails does so for everybody and on the next run too.
// Looking for new counterexamples is a task of its own: PROPERTY_SEED=$RANDOM npx vitest run, as often as
// wanted.
fc.configureGlobal({ seed: Number(process.env['PROPERTY_SEED'] ?? 20_261_125) });
