// Asks the daemon as soon as this much of the page is there: while it answers, the rest is made ready.
import { follow } from './index';

follow();
