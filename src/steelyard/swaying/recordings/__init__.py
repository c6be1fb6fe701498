"""What was recorded on the road, and what it tells of the rig."""
