import { render } from 'preact';
import { follow } from './state';
import { stayAwake } from './state/awake';
import { startLanguage } from './state/language';
import { followVisit } from './state/visit';
import { followVoice } from './state/voice';
import { Page } from './views/page';
import './styles/page.css';

const root = document.getElementById('page');
if (root) {
  // The words of the kept language are there before anything is drawn; without them it is English.
  void startLanguage().then(() => {
    render(<Page />, root);
    followVoice();
    followVisit();
    stayAwake();
    follow();
  });
}
