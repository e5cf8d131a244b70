import type { HandleClientError } from '@sveltejs/kit';

export const handleError: HandleClientError = ({ error, status, message }) => {
  // A wrong address is nobody's fault here.
  if (status < 500) return { message };
  reportError(error);
  return { message: 'Something in the app broke. Go back, or open the page again.' };
};
