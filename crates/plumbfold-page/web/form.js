// The form alone, as a phone in the hall has it.

import { post } from './api.js';
import { $ } from './dom.js';
import { form } from './notebook.js';
import { fill } from './strings.js';

// The secret in the address has become a cookie; the bar above need not show it.
if (location.search) history.replaceState(null, '', location.pathname);
fill();
$('form').append(form((question) => post('/api/notebook', question)));
