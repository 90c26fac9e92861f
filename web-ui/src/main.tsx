import { render } from 'preact';
import { follow } from './state';
import { stayAwake } from './state/awake';
import { followVisit } from './state/visit';
import { followVoice } from './state/voice';
import { Page } from './views/page';
import './styles/page.css';

const root = document.getElementById('page');
if (root) {
  render(<Page />, root);
  followVoice();
  followVisit();
  stayAwake();
  follow();
}
