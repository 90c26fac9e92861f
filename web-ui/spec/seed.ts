// Properties are tried with the same values everywhere; a failure here is a failure there.
import fc from 'fast-check';

fc.configureGlobal({ seed: 20240229 });
