// Properties are tried with the same values everywhere; a failure here is a failure there.
import fc from 'fast-check';
import { speak } from '../src/texts';
import { en } from '../src/texts/en';

fc.configureGlobal({ seed: 20240229 });
// As on the page once it is whole.
speak(en);
