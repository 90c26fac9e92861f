// The ink of the page: by the tablet's own setting, by daylight, or for the dark. Kept on this tablet.
import { effect, signal } from '@preact/signals';

export type Theme = 'auto' | 'daylight' | 'dark';

export const THEMES: readonly Theme[] = ['auto', 'daylight', 'dark'];

const KEPT_AS = 'hubplumb-theme';

function kept(): Theme {
  try {
    return THEMES.find((one) => one === localStorage.getItem(KEPT_AS)) ?? 'auto';
  } catch {
    return 'auto'; // storage may be forbidden
  }
}

export const theme = signal<Theme>(kept());

/** The one that a press on the switch brings. */
export const themeAfter = (now: Theme): Theme => THEMES[(THEMES.indexOf(now) + 1) % THEMES.length] ?? 'auto';

export function chooseTheme(chosen: Theme): void {
  theme.value = chosen;
  try {
    localStorage.setItem(KEPT_AS, chosen);
  } catch {
    // not kept then
  }
}

/** Tells the styles. Called once, before the page is drawn. */
export function followTheme(): void {
  effect(() => {
    document.documentElement.dataset['theme'] = theme.value;
  });
}
