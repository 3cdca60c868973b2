"""The words of pages, mails and documents in each variety of English: found, spelled, stored, and checked."""
