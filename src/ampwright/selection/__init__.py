"""What suits the bike and what does not, with reasons; and the check that would settle a doubt."""
